"""What can be done with the list of spares and with how many should lie where."""

from datetime import date
from decimal import Decimal

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Place
from fleet.refused import Refused, Taken
from maintenance.spares.actions import set_allowance
from maintenance.spares.models import Allowance, Spare


class AllowanceRefused(Refused):
    """A word on how many should lie at a place that was given already."""


@transaction.atomic
def keep_spare(spare: Spare) -> Spare:
    """Keeps a spare, new or changed; Taken where another has its code."""
    take_turn()
    if Spare.objects.filter(code=spare.code).exclude(pk=spare.pk).exists():
        raise Taken("code", spare.code)
    spare.full_clean()
    spare.save()
    return spare


@transaction.atomic
def add_allowance(spare: Spare, place: Place, *, quantity: Decimal, from_on: date) -> Allowance:
    """Says how many should lie at a place from a day on; AllowanceRefused where that was said for
    the day already."""
    take_turn()
    said = Allowance.objects.filter(spare=spare, place=place, design="", from_on=from_on)
    if (other := said.first()) is not None:
        raise AllowanceRefused(
            f"from_on: wanted another day, or a change of row {other.pk}, which holds then"
        )
    set_allowance(spare, place, quantity=quantity, from_on=from_on)
    return said.get()


@transaction.atomic
def drop_allowance(allowance: Allowance) -> None:
    """Takes one word back: the one before it counts again."""
    take_turn()
    Allowance.objects.filter(pk=allowance.pk).delete()
