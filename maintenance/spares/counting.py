"""A count of several shelves in one go: what was written down is what lies there."""

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Place
from fleet.people.models import Person
from maintenance.spares.actions import count_stock
from maintenance.spares.models import Spare


@transaction.atomic
def count_all(
    counted: Mapping[tuple[Spare, Place], Decimal], *, day: date, at: datetime, by: Person | None = None
) -> int:
    """Makes the book say what was counted of each spare at each place; how many lines that was."""
    take_turn()
    for (spare, place), quantity in counted.items():
        count_stock(spare, place, counted=quantity, day=day, at=at, by=by)
    return len(counted)
