"""What an order asks of its supplier: how many of which number, the newest where it was superseded; and
where what comes of it usually lies."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from fleet.bases.models import Base
from fleet.boats.models import Place
from maintenance.ordering.actions import Wanted
from maintenance.ordering.orders import Line
from maintenance.ordering.prices import asked_by, prices_of
from maintenance.spares.facts import allowances, hands
from maintenance.spares.models import Spare
from maintenance.spares.stand_ins import superseding
from maintenance.spares.successors import newest

ONE, NONE = Decimal(1), Decimal(0)


@dataclass(frozen=True, slots=True)
class AskedFor:
    """One line as the supplier is to read it. `was` is the part its number superseded; `packs` how many
    packs that is, where they come in packs and it is a whole number of them."""

    line: Line
    part: Spare
    was: Spare | None
    packs: Decimal | None

    @property
    def quantity(self) -> Decimal:
        return self.line.row.quantity


def asked_for(lines: Sequence[Line]) -> list[AskedFor]:
    """Each line by the number to order it by; two queries."""
    by = superseding()
    parts = Spare.objects.in_bulk({newest(line.row.spare_id, by) for line in lines})
    return [_asked(line, parts[newest(line.row.spare_id, by)]) for line in lines]


def newest_of(parts: Collection[Spare]) -> dict[int, Spare]:
    """The part each of these is ordered by: its newest number, or itself; two queries."""
    by = superseding()
    rows = Spare.objects.in_bulk({newest(part.pk, by) for part in parts})
    return {part.pk: rows[newest(part.pk, by)] for part in parts}


def _asked(line: Line, part: Spare) -> AskedFor:
    own = line.row.spare
    packs = line.row.quantity / part.pack_of if part.pack_of != ONE else None
    whole = packs if packs is not None and packs == packs.to_integral_value() else None
    return AskedFor(line, part, own if part != own else None, whole)


def priced(base: Base, supplier: str, wanted: Sequence[Wanted], *, on: date) -> list[Wanted]:
    """What is wanted, each at what the supplier asks on a day for so many of the number it is ordered
    by, where that is known; three queries."""
    by = superseding()
    asks = prices_of({newest(one.spare.pk, by) for one in wanted}, base=base.pk)
    return [
        Wanted(
            one.spare,
            one.quantity,
            asked_by(supplier, asks.get(newest(one.spare.pk, by), ()), on=on, quantity=one.quantity),
        )
        for one in wanted
    ]


def usual_shelves(spares: Collection[int], shelves: Sequence[Place], *, on: date) -> dict[int, Place]:
    """The shelf each part lies on most, of these, or else the one where the most of it should lie on a
    day; none for a part of which neither is known. Two queries."""
    places = {place.pk: place for place in shelves}
    should = _most(allowances(on=on, places=places.keys()), spares)
    most = should | _most(hands(places.keys()), spares)
    return {spare: places[place] for spare, place in most.items() if place in places}


def _most(numbers: Mapping[tuple[int, int], Decimal], spares: Collection[int]) -> dict[int, int]:
    """The place with the most of each, above nothing."""
    most: dict[int, tuple[Decimal, int]] = {}
    for (spare, place), quantity in numbers.items():
        if spare in spares and quantity > NONE:
            most[spare] = max(most.get(spare, (NONE, 0)), (quantity, -place))
    return {spare: -place for spare, (_, place) in most.items()}
