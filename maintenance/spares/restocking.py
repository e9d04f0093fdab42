"""Filling the boats' kits again from the stores: what each lacks, where it lies, and that it went aboard."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Q

from fleet.bases.turns import take_turn
from fleet.boats.models import Boat, Place
from fleet.people.models import Person
from maintenance.spares.facts import allowances, hands, lots_at, run_out_at
from maintenance.spares.models import Lot, Spare, StockMove
from maintenance.spares.moving import move_stock
from maintenance.spares.stock import Held, Where, lots_to_take

NONE, ONE = Decimal(0), Decimal(1)


@dataclass(frozen=True, slots=True)
class Fill:
    """So much of a part that a boat's kit lacks, and the shelf to take it from, which has `there` of it.
    What no store has for her is a line of its own: `from_place` is None, and `promised` is what stores
    have that boats before her get. `to_count`: the book has less than nothing there, so that nobody knows
    what it lacks before it is counted."""

    boat: Boat
    place: Place
    spare: Spare
    lacks: Decimal
    from_place: Place | None
    there: Decimal
    promised: Decimal = NONE
    to_count: bool = False

    @property
    def can(self) -> Decimal:
        """As many of them as can be put aboard now."""
        return min(self.lacks, max(self.there, NONE))


def to_fill(base: int, boats: Collection[int], *, on: date) -> list[Fill]:
    """What the kits of boats lack, boat by boat in the order they are given, each from the shelf that has
    the most, then from the next; what one boat is to get is not promised to the next, and what has run
    out is not put aboard. Five queries and those of allowances."""
    rows = Place.objects.filter(Q(base=base) | Q(boat__in=boats)).select_related("parent", "boat")
    places = rows.exclude(sort=Place.Sort.ASTRAY).in_bulk()
    held, should = hands(places.keys()), allowances(on=on, places=places.keys())
    lacking = {
        where: number - max(held.get(where, NONE), NONE)
        for where, number in should.items()
        if places[where[1]].boat_id is not None and held.get(where, NONE) < number
    }
    spares = Spare.objects.in_bulk({spare for spare, _ in lacking})
    ashore = _ashore(held, run_out_at(places.keys(), on=on), places)
    had = {spare: sum(of.values(), NONE) for spare, of in ashore.items()}
    turn = {boat: number for number, boat in enumerate(boats)}
    found: list[Fill] = []
    for (spare, place), lack in sorted(
        lacking.items(), key=lambda one: _in_order(one[0], places, spares, turn)
    ):
        shelves, boat = ashore[spare], places[place].boat
        promised = had.get(spare, NONE) - sum(shelves.values(), NONE)
        for key, there, share in _shares(shelves, lack):
            shelf, before = (places[key], NONE) if key is not None else (None, promised)
            if boat is not None:
                below = held.get((spare, place), NONE) < NONE
                found.append(Fill(boat, places[place], spares[spare], share, shelf, there, before, below))
            if key is not None:
                shelves[key] -= share
    return found


def _ashore(
    held: Mapping[Where, Decimal], run_out: Mapping[Where, Decimal], places: Mapping[int, Place]
) -> dict[int, dict[int, Decimal]]:
    """What is good in the stores, by spare and shelf."""
    found: dict[int, dict[int, Decimal]] = defaultdict(dict)
    for (spare, place), quantity in held.items():
        good = quantity - run_out.get((spare, place), NONE)
        if places[place].base_id is not None and good > NONE:
            found[spare][place] = good
    return found


def _shares(shelves: Mapping[int, Decimal], lack: Decimal) -> list[tuple[int | None, Decimal, Decimal]]:
    """From which shelf, what it has, and how much of it; what is left over comes from none."""
    found: list[tuple[int | None, Decimal, Decimal]] = []
    for shelf, there in sorted(shelves.items(), key=lambda one: (-one[1], one[0])):
        if (share := min(lack, there)) > NONE:
            found.append((shelf, there, share))
            lack -= share
    return [*found, (None, NONE, lack)] if lack else found


def _in_order(
    where: Where, places: Mapping[int, Place], spares: Mapping[int, Spare], turn: Mapping[int, int]
) -> tuple[int, str, int]:
    return (turn[places[where[1]].boat_id or 0], spares[where[0]].name, where[1])


@transaction.atomic
def fill_kits(
    fills: Sequence[tuple[Fill, Decimal]],
    *,
    day: date,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> list[StockMove]:
    """Puts so much of each aboard, the first move kept under the `client_id`. MoveRefused where nothing
    is said of where it comes from."""
    take_turn()
    moves: list[StockMove] = []
    for fill, quantity in fills:
        shelf = fill.from_place
        for lot, share in _lots(fill.spare, shelf, quantity, day) if shelf else [(None, quantity)]:
            said: dict[str, Any] = {"lot": lot, "day": day, "at": at, "by": by}
            said |= {"from_place": shelf, "to_place": fill.place}
            once = client_id if not moves else None
            moves.append(move_stock(fill.spare, why="moved", quantity=share, client_id=once, **said))
    return moves


def _lots(spare: Spare, shelf: Place, quantity: Decimal, on: date) -> list[tuple[Lot | None, Decimal]]:
    """Which lots so much is taken from: the first to run out first, and none that has. Of what has serial
    numbers whole ones go, and none where some there is counted in fractions."""
    there = lots_at([shelf.pk]).get((spare.pk, shelf.pk), {})
    lots = Lot.objects.in_bulk(there.keys())
    whole = all(number == number.to_integral_value() for number in (quantity, *there.values()))
    held = [
        Held(key, min(number, ONE) if lots[key].serial else number, lots[key].expires_on)
        for key, number in there.items()
        if whole or not lots[key].serial
    ]
    shares = lots_to_take(held, quantity, on)
    return [(lots.get(key or 0), share) for key, share in shares] or [(None, quantity)]
