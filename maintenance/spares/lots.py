"""Lots, serial numbers and last days of parts: what tells parts of one number apart on a shelf."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Place
from fleet.refused import Refused
from maintenance.spares.facts import lots_at
from maintenance.spares.models import Lot, Spare
from maintenance.spares.stock import Held, lot_to_take

ONE = Decimal(1)


class LotRefused(Refused):
    """A lot that says nothing, or a single unit that would be several."""


@dataclass(frozen=True, slots=True)
class Marked:
    """What is written on parts that came; all blank: nothing tells them apart."""

    mark: str = ""
    serial: str = ""
    expires_on: date | None = None

    def __bool__(self) -> bool:
        return bool(self.mark or self.serial or self.expires_on)


@transaction.atomic
def keep_lot(spare: Spare, marked: Marked) -> Lot:
    """The lot of a part that is marked so, made where nobody has seen it; LotRefused where nothing
    is said of it."""
    if not marked:
        raise LotRefused("mark: wanted a mark, a serial number or the last day they are good")
    take_turn()
    known = Lot.objects.filter(spare=spare, mark=marked.mark, serial=marked.serial)
    if (lot := known.filter(expires_on=marked.expires_on).first()) is not None:
        return lot
    lot = Lot(spare=spare, mark=marked.mark, serial=marked.serial, expires_on=marked.expires_on)
    lot.full_clean()
    lot.save()
    return lot


def refuse_lot(spare: Spare, lot: Lot | None, quantity: Decimal) -> None:
    """LotRefused for another part's lot, or more than one of what has a serial number."""
    if lot is None:
        return
    if lot.spare_id != spare.pk:
        raise LotRefused(f"lot: wanted one of {spare.name}")
    if lot.serial and quantity != ONE:
        raise LotRefused(f"quantity: wanted 1, for {lot.serial} is the number of one unit")


def lot_for(spare: Spare, place: Place, quantity: Decimal, on: date) -> Lot | None:
    """The lot that so much is taken from where nobody said which; None where no lot there holds it."""
    there = lots_at([place.pk]).get((spare.pk, place.pk), {})
    lots = Lot.objects.in_bulk(there.keys())
    held = [Held(key, number, lots[key].expires_on) for key, number in there.items()]
    chosen = lot_to_take(held, quantity, on)
    return lots[chosen] if chosen is not None else None


def run_out(lots: Collection[int], on: date) -> set[int]:
    """Those of these lots whose last good day is past."""
    return set(Lot.objects.filter(pk__in=lots, expires_on__lt=on).values_list("pk", flat=True))
