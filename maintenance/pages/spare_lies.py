"""Where a part lies on a day: store, shelf and box, each boat's kit, lots apart, what should lie there."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from fleet.boats.models import Place
from maintenance.pages.stores import Stores
from maintenance.spares.facts import allowances, hands, lots_at
from maintenance.spares.models import Lot, Spare

NONE = Decimal(0)


@dataclass(frozen=True, slots=True)
class OfLot:
    """So much of a lot; `lot` is None for what carries no mark beside the lots of a place."""

    lot: Lot | None
    quantity: Decimal
    run_out: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """So much at a place, by lot where there are lots, and how many should lie there."""

    place: Place
    path: str
    quantity: Decimal
    lots: tuple[OfLot, ...]
    should: Decimal | None

    @property
    def astray(self) -> bool:
        return self.place.sort == Place.Sort.ASTRAY

    @property
    def run_out(self) -> Decimal:
        return sum((one.quantity for one in self.lots if one.run_out), NONE)

    @property
    def to_count(self) -> bool:
        """Whether the book cannot be right."""
        return self.quantity < NONE or any(one.quantity < NONE for one in self.lots)


def lying(spare: Spare, stores: Stores, *, on: date) -> list[Line]:
    """Every place of a base that holds some, or should, at the end of a day; six queries at most."""
    keys = stores.places.keys()
    held = {place: n for (_, place), n in hands(keys, on=on, spare=spare.pk).items()}
    by_lot = {place: of for (_, place), of in lots_at(keys, on=on, spare=spare.pk).items()}
    should = {place: n for (one, place), n in allowances(on=on, places=keys).items() if one == spare.pk}
    lots = Lot.objects.in_bulk({lot for of in by_lot.values() for lot in of})
    asked = {place for place, n in [*held.items(), *should.items()] if n} | by_lot.keys()
    found = []
    for key in asked & keys:
        place, quantity = stores.places[key], held.get(key, NONE)
        of = of_lots(by_lot.get(key, {}), quantity, lots, on)
        found.append(Line(place, stores.path(place), quantity, of, should.get(key)))
    return sorted(found, key=lambda line: (line.astray, stores.order(line.place)))


def of_lots(
    there: Mapping[int, Decimal], quantity: Decimal, lots: Mapping[int, Lot], on: date
) -> tuple[OfLot, ...]:
    """The lots of a place, the first to run out first, then what carries no mark."""
    found = [
        OfLot(lot, there[lot.pk], lot.expires_on is not None and lot.expires_on < on)
        for lot in sorted((lots[key] for key in there), key=lambda lot: (lot.expires_on or date.max, lot.pk))
    ]
    rest = quantity - sum(there.values(), NONE)
    return (*found, OfLot(None, rest)) if found and rest else tuple(found)
