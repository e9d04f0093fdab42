"""What can be done with spares: use them, count them, say how many should lie where."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Q

from fleet.bases.turns import take_turn
from fleet.boats.facts import places_of
from fleet.boats.models import Boat, Place
from fleet.ledger import enter
from fleet.people.models import Person
from maintenance.spares.facts import allowances, hands, lots_at
from maintenance.spares.lots import lot_for, refuse_counted, refuse_lot
from maintenance.spares.models import Allowance, Lot, Spare, StockMove
from maintenance.spares.moving import MoveRefused, refuse_day
from maintenance.spares.stock import Short, Where, below_allowance, to_count


@dataclass(frozen=True, slots=True)
class SpareUsed:
    """So much of a spare, and the store or locker it came from."""

    spare: Spare
    place: Place
    quantity: Decimal


@dataclass(frozen=True, slots=True)
class StockFollows:
    """What using spares left behind: places below their allowance, and places to count."""

    short: tuple[Short, ...] = ()
    to_count: tuple[Where, ...] = ()

    def as_json(self) -> dict[str, Any]:
        return {
            "short": [
                {
                    "spare": w.where[0],
                    "place": w.where[1],
                    "on_hand": str(w.on_hand),
                    "allowance": str(w.allowance),
                }
                for w in self.short
            ],
            "to_count": [{"spare": spare, "place": place} for spare, place in self.to_count],
        }


@transaction.atomic
def use_spares(
    used: Sequence[SpareUsed], *, day: date, at: datetime, by: Person | None = None
) -> list[StockMove]:
    """Takes spares from where they lay."""
    return [use_spare(u.spare, u.place, quantity=u.quantity, day=day, at=at, by=by) for u in used]


def wrong_use(boat: Boat, used: Sequence[SpareUsed], *, on: date) -> str | None:
    """What is wanted where spares cannot have been used on a boat as said: a store of her base or a
    locker of hers, and more than nothing."""
    if not used:
        return None
    places = {place.pk for place in places_of([boat.pk], on=on).get(boat.pk, ())}
    for one in used:
        if one.quantity <= 0:
            return f"wanted how many of {one.spare.name}, above 0"
        if one.place.pk not in places:
            return f"wanted a store of her base or a locker of {boat.name} for {one.spare.name}"
    return None


def what_follows(used: Sequence[SpareUsed], *, on: date) -> StockFollows:
    """Of the spares used: what lies below its allowance now, and what the book says cannot be."""
    if not used:
        return StockFollows()
    where = {(u.spare.pk, u.place.pk) for u in used}
    places = {place for _, place in where}
    held = {w: q for w, q in hands(places).items() if w in where}
    should = {w: q for w, q in allowances(on=on, places=places).items() if w in where}
    return StockFollows(tuple(below_allowance(held, should)), tuple(to_count(held)))


@transaction.atomic
def use_spare(
    spare: Spare,
    place: Place,
    *,
    quantity: Decimal,
    day: date,
    at: datetime,
    lot: Lot | None = None,
    by: Person | None = None,
) -> StockMove:
    """Takes so much from a place, of the lot that runs out first where none is named. Never refused
    for want of stock: the book then goes below zero and the place is to be counted."""
    refuse_lot(spare, lot, quantity)
    lot = lot or lot_for(spare, place, quantity, day)
    move = StockMove(spare=spare, from_place=place, quantity=quantity, why="used", day=day, lot=lot)
    return enter(move, at=at, by=by)


@transaction.atomic
def count_stock(
    spare: Spare,
    place: Place,
    *,
    counted: Decimal,
    day: date,
    at: datetime,
    lot: Lot | None = None,
    words: str = "",
    by: Person | None = None,
    client_id: str | None = None,
) -> StockMove | None:
    """Makes the book say what was counted at the end of a day, of one lot where it is named, by one move
    of the difference, which `words` explain; None where it did. What moved on later days stays as it is.
    LotRefused for a lot that cannot be counted so, MoveRefused for less than nothing or a day to come."""
    take_turn()
    refuse_day(day, place, at)
    refuse_counted(spare, lot, counted)
    if counted < 0:
        raise MoveRefused("counted: wanted how many, 0 or more")
    difference = counted - _on_hand(spare, place, lot, day)
    if not difference:
        return None
    where = {"to_place": place} if difference > 0 else {"from_place": place}
    move = StockMove(
        spare=spare, quantity=abs(difference), why="counted", day=day, lot=lot, words=words, **where
    )
    return enter(move, at=at, by=by, client_id=client_id)


def _on_hand(spare: Spare, place: Place, lot: Lot | None, on: date) -> Decimal:
    where = (spare.pk, place.pk)
    if lot is None:
        return hands([place.pk], on=on).get(where, Decimal(0))
    return lots_at([place.pk], on=on).get(where, {}).get(lot.pk, Decimal(0))


def set_allowance(spare: Spare, place: Place, *, quantity: Decimal | None, from_on: date) -> None:
    """Says how many should lie at a place from a day on; blank takes the word back."""
    if quantity is None:
        Allowance.objects.filter(spare=spare, place=place).delete()
        return
    Allowance.objects.update_or_create(
        spare=spare, place=place, design="", from_on=from_on, defaults={"quantity": quantity}
    )


def set_class_allowance(spare: Spare, design: str, *, quantity: Decimal | None, from_on: date) -> None:
    """Says how many should lie in the kit of every boat of a class from a day on; blank takes the word
    back. What is said of one boat goes before it."""
    if quantity is None:
        Allowance.objects.filter(spare=spare, place=None, design=design).delete()
        return
    Allowance.objects.update_or_create(
        spare=spare, place=None, design=design, from_on=from_on, defaults={"quantity": quantity}
    )


def counted_since(move: StockMove) -> bool:
    """Whether somebody counted the spare where it was taken from after it was used: the count knew
    of it, so undoing the use would make the book wrong."""
    counts = StockMove.objects.standing().filter(why="counted", spare=move.spare_id, pk__gt=move.pk)
    return counts.filter(Q(to_place=move.from_place_id) | Q(from_place=move.from_place_id)).exists()
