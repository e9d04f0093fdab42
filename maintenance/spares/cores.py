"""Worn-out units of exchange parts: which are owed to who sold the new ones, and that they went back."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Sum

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.dates import spoken
from fleet.ledger import enter, take_back
from fleet.people.models import Person
from fleet.refused import Refused
from maintenance.spares.models import CoreBack, Spare, StockMove

NONE = Decimal(0)


class CoreRefused(Refused):
    """More went back than came off."""


@dataclass(frozen=True, slots=True)
class CoreDue:
    """So many worn-out units of a part that are to go back, and since when the oldest is."""

    spare: Spare
    quantity: Decimal
    since: date


def owed(used: Iterable[tuple[date, Decimal]], back: Decimal) -> tuple[Decimal, date] | None:
    """How many are owed and since when: the oldest goes back first. None where none is."""
    left, since = -back, None
    for day, quantity in sorted(used):
        left += quantity
        if left > NONE and since is None:
            since = day
    return (left, since) if left > NONE and since is not None else None


def cores_due(base: int, places: Collection[int]) -> list[CoreDue]:
    """What is to go back of every exchange part used from a base's places; three queries."""
    moves = StockMove.objects.standing().filter(why="used", spare__exchange=True, from_place__in=places)
    used: dict[int, list[tuple[date, Decimal]]] = {}
    for spare, day, quantity in moves.values_list("spare_id", "day", "quantity"):
        used.setdefault(spare, []).append((day, quantity))
    rows = CoreBack.objects.standing().filter(base=base).values_list("spare_id")
    back = dict(rows.annotate(quantity=Sum("quantity")).order_by())
    spares = Spare.objects.in_bulk(used.keys())
    dues = [CoreDue(spares[key], *due) for key, of in used.items() if (due := owed(of, back.get(key, NONE)))]
    return sorted(dues, key=lambda due: (due.since, due.spare.name))


@transaction.atomic
def send_core_back(
    spare: Spare,
    *,
    base: Base,
    places: Collection[int],
    quantity: Decimal,
    day: date,
    at: datetime,
    words: str = "",
    by: Person | None = None,
    client_id: str | None = None,
) -> CoreBack:
    """Keeps that so many went back. CoreRefused where no more are owed, or for a day to come."""
    take_turn()
    if day > base.day_of(at):
        raise CoreRefused(f"day: wanted a day up to today, {spoken(base.day_of(at))}")
    due = next((due.quantity for due in cores_due(base.pk, places) if due.spare == spare), NONE)
    if not NONE < quantity <= due:
        raise CoreRefused(f"quantity: wanted above 0 and up to {due.normalize():f}, as many as are owed")
    row = CoreBack(base=base, spare=spare, quantity=quantity, day=day, words=words)
    return enter(row, at=at, by=by, client_id=client_id)


@transaction.atomic
def take_back_core(row: CoreBack, *, at: datetime, by: Person | None = None) -> CoreBack:
    """It did not go back after all; taken back already, nothing changes."""
    take_turn()
    undone: CoreBack = take_back(row, at=at, by=by)
    return undone
