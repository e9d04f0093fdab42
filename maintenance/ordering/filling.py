"""The boats' kits to be filled, in the order the boats leave: from which shelf, and when what no store
has should come."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal

from fleet.bases.models import Base
from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.charters.rules import LEAVES
from maintenance.ordering.orders import Coming, coming, orders_of, written
from maintenance.spares.restocking import Fill, to_fill

NONE = Decimal(0)


@dataclass(frozen=True, slots=True)
class Waits:
    """What a kit lacks that no store has for it, what is on its way of that part, and what of it is
    `written` in orders to be sent still."""

    fill: Fill
    coming: tuple[Coming, ...]
    written: Decimal


@dataclass(frozen=True, slots=True)
class KitToFill:
    """What one boat's kit lacks: what can be put aboard, shelf by shelf, and what has to wait."""

    boat: Boat
    charter: Charter | None
    fills: tuple[Fill, ...]
    waits: tuple[Waits, ...]


def kits_to_fill(base: Base, boats: Collection[int], *, on: date) -> list[KitToFill]:
    """Each boat whose kit lacks something, who leaves first first: hers is served first. As many queries
    whatever the number of boats."""
    leaving = _leaving(boats, on)
    order = sorted(boats, key=lambda boat: _turn(leaving.get(boat), boat))
    by_boat: dict[int, list[Fill]] = defaultdict(list)
    for fill in to_fill(base.pk, order, on=on):
        by_boat[fill.boat.pk].append(fill)
    wanting = any(fill.from_place is None for of in by_boat.values() for fill in of)
    orders = orders_of(base.pk, on=on) if wanting else []
    comes, to_send = coming(orders), written(orders)

    def waits(fill: Fill) -> Waits:
        return Waits(fill, tuple(comes.get(fill.spare.pk, ())), to_send.get(fill.spare.pk, NONE))

    return [
        KitToFill(
            boat=of[0].boat,
            charter=leaving.get(boat),
            fills=tuple(sorted((f for f in of if f.from_place is not None), key=_shelf)),
            waits=tuple(waits(f) for f in of if f.from_place is None),
        )
        for boat, of in by_boat.items()
    ]


def _leaving(boats: Collection[int], on: date) -> dict[int, Charter]:
    """The charter each boat goes out for next."""
    found: dict[int, Charter] = {}
    for charter in Charter.objects.next_from(on).filter(boat__in=boats):
        found.setdefault(charter.boat_id, charter)
    return found


def _turn(charter: Charter | None, boat: int) -> tuple[date, time, int]:
    """Who leaves first; who has no charter booked last."""
    if charter is None:
        return (date.max, LEAVES, boat)
    return (charter.starts_on, charter.leaves_at or LEAVES, boat)


def _shelf(fill: Fill) -> tuple[str, str]:
    """In the order somebody walks the store."""
    return (str(fill.from_place), fill.spare.name)
