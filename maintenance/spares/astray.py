"""Parts that are not where they should be: looked for, found elsewhere or given up, never written off
by themselves."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Q

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.facts import base_of
from fleet.boats.models import Place
from fleet.people.models import Person
from maintenance.spares.lots import held_of
from maintenance.spares.models import Lot, Spare, StockMove
from maintenance.spares.moving import MoveRefused, move_stock
from maintenance.spares.stock import left_of

NONE = Decimal(0)
CODE, NAME = "astray", "Not where it should be"


def astray_of(base: Base) -> Place:
    """Where a base's book has what is looked for; made when the first thing is."""
    place, _ = Place.objects.get_or_create(
        base=base, parent=None, code=CODE, defaults={"name": NAME, "sort": Place.Sort.ASTRAY}
    )
    return place


def home_of(place: Place, day: date) -> Base:
    """The base whose place it is, or that looks after the boat on a day."""
    if place.base is not None:
        return place.base
    assert place.boat is not None, "a place is in a store or aboard"
    return base_of(place.boat, day)


def looked_for_of(spare: Spare, place: Place, lot: Lot | None, day: date) -> Decimal:
    """How many of a part, of this lot or without a mark, the base of a place looks for."""
    missing = Place.objects.filter(base=home_of(place, day), parent=None, code=CODE).first()
    return max(held_of(spare, missing, lot), NONE) if missing is not None else NONE


@transaction.atomic
def miss(
    spare: Spare,
    place: Place,
    *,
    quantity: Decimal,
    day: date,
    at: datetime,
    words: str = "",
    lot: Lot | None = None,
    by: Person | None = None,
    client_id: str | None = None,
) -> StockMove:
    """So much of a part is not at its place: from now on it is looked for. MoveRefused where the book
    has none there to miss."""
    take_turn()
    held = max(held_of(spare, place, lot), NONE)
    if place.sort == Place.Sort.ASTRAY:
        raise MoveRefused("place: wanted the place it should be at")
    if quantity > held:
        raise MoveRefused(f"quantity: wanted up to {held.normalize():f}, as the book has there{_of(lot)}")
    where: dict[str, Any] = {"from_place": place, "to_place": astray_of(home_of(place, day))}
    said: dict[str, Any] = {
        "words": words,
        "lot": lot,
        "day": day,
        "at": at,
        "by": by,
        "client_id": client_id,
    }
    return move_stock(spare, why="moved", quantity=quantity, **where, **said)


@transaction.atomic
def find(
    spare: Spare,
    place: Place,
    *,
    base: Base,
    quantity: Decimal,
    day: date,
    at: datetime,
    words: str = "",
    lot: Lot | None = None,
    by: Person | None = None,
    client_id: str | None = None,
) -> StockMove:
    """So much of what was looked for lies at a place. MoveRefused where no more is looked for."""
    take_turn()
    where: dict[str, Any] = {"from_place": _missing(spare, base, quantity, lot), "to_place": place}
    said: dict[str, Any] = {
        "words": words,
        "lot": lot,
        "day": day,
        "at": at,
        "by": by,
        "client_id": client_id,
    }
    return move_stock(spare, why="moved", quantity=quantity, **where, **said)


@transaction.atomic
def give_up(
    spare: Spare,
    *,
    base: Base,
    quantity: Decimal,
    day: date,
    at: datetime,
    words: str,
    lot: Lot | None = None,
    by: Person | None = None,
    client_id: str | None = None,
) -> StockMove:
    """So much of what was looked for is gone for good, and somebody says why. MoveRefused where no more
    is looked for, or nobody says so."""
    take_turn()
    if not words.strip():
        raise MoveRefused("words: wanted why nobody looks for it any more")
    missing = _missing(spare, base, quantity, lot)
    said: dict[str, Any] = {
        "words": words,
        "lot": lot,
        "day": day,
        "at": at,
        "by": by,
        "client_id": client_id,
    }
    return move_stock(spare, why="scrapped", quantity=quantity, from_place=missing, **said)


def _missing(spare: Spare, base: Base, quantity: Decimal, lot: Lot | None) -> Place:
    """Where a base's book has it; MoveRefused where so much is not looked for."""
    missing = astray_of(base)
    held = max(held_of(spare, missing, lot), NONE)
    if quantity > held:
        raise MoveRefused(f"quantity: wanted up to {held.normalize():f}, as many as are looked for{_of(lot)}")
    return missing


def _of(lot: Lot | None) -> str:
    return f" of {lot}" if lot is not None else ""


@dataclass(frozen=True, slots=True)
class LookedFor:
    """So much of a part that is looked for, and the move that said so: since when, from where, by whom."""

    said: StockMove
    quantity: Decimal


def looked_for(base: Base) -> list[LookedFor]:
    """What is not where it should be, the longest first; what was found or given up was the oldest of
    it. Two queries."""
    missing = Place.objects.filter(base=base, sort=Place.Sort.ASTRAY)
    rows = StockMove.objects.standing().filter(Q(to_place__in=missing) | Q(from_place__in=missing))
    rows = rows.select_related("spare", "lot", "from_place__parent", "to_place", "recorded_by")
    came: dict[tuple[int, int | None], list[StockMove]] = defaultdict(list)
    gone: dict[tuple[int, int | None], Decimal] = defaultdict(Decimal)
    for row in rows.order_by("day", "pk"):
        if row.to_place is not None and row.to_place.sort == Place.Sort.ASTRAY:
            came[row.spare_id, row.lot_id].append(row)
        else:
            gone[row.spare_id, row.lot_id] += row.quantity
    found = []
    for what, of in came.items():
        left = left_of([(row.pk, row.quantity) for row in of], gone[what])
        found += [LookedFor(row, left[row.pk]) for row in of if row.pk in left]
    return sorted(found, key=lambda one: (one.said.day, one.said.pk))
