"""What an order asks of its supplier: how many of which number, the newest where it was superseded; and
where what comes of it usually lies."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from fleet.bases.models import Base
from fleet.boats.models import Place
from maintenance.ordering.actions import Wanted
from maintenance.ordering.orders import Line
from maintenance.ordering.prices import asked_by, prices_of
from maintenance.spares.facts import hands
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


def _asked(line: Line, part: Spare) -> AskedFor:
    own = line.row.spare
    packs = line.row.quantity / part.pack_of if part.pack_of != ONE else None
    whole = packs if packs is not None and packs == packs.to_integral_value() else None
    return AskedFor(line, part, own if part != own else None, whole)


def priced(base: Base, supplier: str, wanted: Sequence[Wanted], *, on: date) -> list[Wanted]:
    """What is wanted, each at what the supplier asks for so many on a day, where that is known; two
    queries."""
    asks = prices_of({one.spare.pk for one in wanted}, base=base.pk)
    return [
        Wanted(
            one.spare,
            one.quantity,
            asked_by(supplier, asks.get(one.spare.pk, ()), on=on, quantity=one.quantity),
        )
        for one in wanted
    ]


def usual_shelves(spares: Collection[int], shelves: Sequence[Place]) -> dict[int, Place]:
    """The shelf each part lies on most, of these, for those that lie on any; one query."""
    places = {place.pk: place for place in shelves}
    most: dict[int, tuple[Decimal, int]] = {}
    for (spare, place), quantity in hands(places.keys()).items():
        if spare in spares and quantity > NONE:
            most[spare] = max(most.get(spare, (NONE, 0)), (quantity, -place))
    return {spare: places[-place] for spare, (_, place) in most.items()}
