"""Filling the boats' kits again from the stores: what each lacks, where it lies, and that it went aboard."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Q

from fleet.bases.turns import take_turn
from fleet.boats.models import Boat, Place
from fleet.people.models import Person
from maintenance.spares.facts import allowances, hands
from maintenance.spares.lots import lot_for
from maintenance.spares.models import Spare, StockMove
from maintenance.spares.moving import move_stock

NONE = Decimal(0)


@dataclass(frozen=True, slots=True)
class Fill:
    """So much of a part that a boat's kit lacks, and the shelf to take it from: `from_place` is None
    where no store has any; `there` is what it has."""

    boat: Boat
    place: Place
    spare: Spare
    lacks: Decimal
    from_place: Place | None
    there: Decimal

    @property
    def can(self) -> Decimal:
        """As many of them as can be put aboard now."""
        return min(self.lacks, max(self.there, NONE))


def to_fill(base: int, boats: Collection[int], *, on: date) -> list[Fill]:
    """What the kits of boats lack, boat by boat, each from the shelf that has the most; what one boat
    is to get is not promised to the next. Four queries and those of allowances."""
    rows = Place.objects.filter(Q(base=base) | Q(boat__in=boats)).select_related("parent", "boat")
    places = rows.exclude(sort=Place.Sort.ASTRAY).in_bulk()
    held, should = hands(places.keys()), allowances(on=on, places=places.keys())
    lacking = {
        where: number - held.get(where, NONE)
        for where, number in should.items()
        if places[where[1]].boat_id is not None and held.get(where, NONE) < number
    }
    spares = Spare.objects.in_bulk({spare for spare, _ in lacking})
    ashore: dict[int, dict[int, Decimal]] = defaultdict(dict)
    for (spare, place), quantity in held.items():
        if places[place].base_id is not None and quantity > NONE:
            ashore[spare][place] = quantity
    found = []
    for (spare, place), lack in sorted(lacking.items(), key=lambda one: _in_order(one[0], places, spares)):
        shelf = max(ashore[spare], key=lambda key: ashore[spare][key], default=None)
        there = ashore[spare][shelf] if shelf is not None else NONE
        boat = places[place].boat
        if boat is not None:
            found.append(Fill(boat, places[place], spares[spare], lack, places.get(shelf or 0), there))
        if shelf is not None:
            ashore[spare][shelf] = there - min(lack, max(there, NONE))
    return found


def _in_order(
    where: tuple[int, int], places: dict[int, Place], spares: dict[int, Spare]
) -> tuple[str, str, int]:
    boat = places[where[1]].boat
    return (boat.name if boat else "", spares[where[0]].name, where[1])


@transaction.atomic
def fill_kits(
    fills: Sequence[tuple[Fill, Decimal]], *, day: date, at: datetime, by: Person | None = None
) -> list[StockMove]:
    """Puts so much of each aboard. MoveRefused where nothing is said of where it comes from."""
    take_turn()
    moves = []
    for fill, quantity in fills:
        shelf = fill.from_place
        lot = lot_for(fill.spare, shelf, quantity, day) if shelf is not None else None
        where = {"from_place": shelf, "to_place": fill.place, "lot": lot}
        moves.append(
            move_stock(fill.spare, why="moved", quantity=quantity, day=day, at=at, by=by, **where)  # type: ignore[arg-type]
        )
    return moves
