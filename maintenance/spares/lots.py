"""Lots, serial numbers and last days of parts: what tells parts of one number apart on a shelf."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Place
from fleet.refused import Refused
from maintenance.spares.facts import hands, lots_at
from maintenance.spares.models import Lot, Spare, StockMove
from maintenance.spares.stock import Held, Move, lot_to_take, on_hand

NONE, ONE = Decimal(0), Decimal(1)


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


def refuse_counted(spare: Spare, lot: Lot | None, counted: Decimal) -> None:
    """LotRefused for another part's lot, or a count of one unit that is neither none nor one."""
    if lot is not None and lot.serial and counted in (NONE, ONE):
        return refuse_lot(spare, lot, ONE)
    if lot is not None and lot.serial:
        raise LotRefused(f"counted: wanted 0 or 1, for {lot.serial} is the number of one unit")
    return refuse_lot(spare, lot, counted)


def held_of(spare: Spare, place: Place, lot: Lot | None) -> Decimal:
    """What the book has there of a lot; without one, of what carries no mark. Two queries."""
    where = (spare.pk, place.pk)
    lots = lots_at([place.pk], spare=spare.pk).get(where, {})
    if lot is not None:
        return lots.get(lot.pk, NONE)
    return hands([place.pk], spare=spare.pk).get(where, NONE) - sum(lots.values(), NONE)


def lies_at(lot: Lot) -> list[Place]:
    """The places that hold some of a lot, of whichever base; two queries."""
    moves = StockMove.objects.standing().filter(lot=lot)
    ways = moves.values_list("spare_id", "from_place_id", "to_place_id", "quantity")
    held = on_hand(Move(*way) for way in ways)
    keys = [place for (_, place), quantity in held.items() if quantity > NONE]
    return list(Place.objects.filter(pk__in=keys).select_related("parent"))


@dataclass(frozen=True, slots=True)
class Dated:
    """So much of a lot that has a last good day, at the place of this key."""

    lot: Lot
    place: int
    quantity: Decimal
    good_to: date

    def over(self, on: date) -> bool:
        """Whether that day is past."""
        return self.good_to < on


def dated_lots(places: Collection[int]) -> list[Dated]:
    """What lies at places of lots with a last good day, the first to run out first; two queries."""
    held = {(lot, place): n for (_, place), of in lots_at(places).items() for lot, n in of.items()}
    lots = Lot.objects.filter(pk__in={lot for lot, _ in held}, expires_on__isnull=False)
    known = {lot.pk: lot for lot in lots.select_related("spare")}
    found = [
        Dated(known[lot], place, quantity, good_to)
        for (lot, place), quantity in held.items()
        if lot in known and (good_to := known[lot].expires_on) is not None
    ]
    return sorted(
        found, key=lambda d: (d.good_to, d.lot.spare.name.casefold(), d.lot.spare_id, d.lot.pk, d.place)
    )


def lot_taken(spare: Spare, place: Place, *, lot: Lot | None = None, unmarked: bool = False) -> Lot | None:
    """Which lot is taken from a place: the one named, none where what carries no mark is meant, the only
    one where nothing else lies there. LotRefused where that is to be said first, or does not lie there."""
    where = (spare.pk, place.pk)
    there = lots_at([place.pk], spare=spare.pk).get(where, {})
    if lot is not None and there.get(lot.pk, NONE) <= NONE:
        raise LotRefused(f"lot: wanted one that lies at {place}, by the book; else count that place first")
    if lot is not None or unmarked or not there:
        return lot
    rest = hands([place.pk], spare=spare.pk).get(where, NONE) - sum(there.values(), NONE)
    if len(there) == 1 and not rest:
        return Lot.objects.get(pk=next(iter(there)))
    several = f"{len(there)} lots lie" if len(there) > 1 else "1 lot lies"
    bare = ", and some without a mark" if rest else ""
    raise LotRefused(f"lot: wanted which one, for {several} at {place}{bare}")


def lot_for(spare: Spare, place: Place, quantity: Decimal, on: date) -> Lot | None:
    """The lot that so much is taken from where nobody said which; None where no lot there holds it, or
    only one run out does and enough without a mark lies beside it. What has a serial number goes one at
    a time."""
    where = (spare.pk, place.pk)
    there = lots_at([place.pk], spare=spare.pk).get(where, {})
    lots = Lot.objects.in_bulk(there.keys())
    held = [
        Held(key, number, lots[key].expires_on)
        for key, number in there.items()
        if quantity == ONE or not lots[key].serial
    ]
    chosen = lots.get(lot_to_take(held, quantity, on) or 0)
    if chosen is None or chosen.expires_on is None or chosen.expires_on >= on:
        return chosen
    bare = hands([place.pk], spare=spare.pk).get(where, NONE) - sum(there.values(), NONE)
    return None if bare >= quantity else chosen


def run_out(lots: Collection[int], on: date) -> set[int]:
    """Those of these lots whose last good day is past."""
    return set(Lot.objects.filter(pk__in=lots, expires_on__lt=on).values_list("pk", flat=True))
