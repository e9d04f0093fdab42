"""One spare of a base as it stands: where it lies, what comes, how many to hold, how many to order."""

from dataclasses import dataclass, field
from decimal import Decimal

from fleet.boats.models import Place
from maintenance.ordering.holding import NONE, Hold
from maintenance.ordering.money import Money
from maintenance.ordering.orders import Coming
from maintenance.ordering.standing import Lead
from maintenance.ordering.together import Together
from maintenance.planning.taking import Lies
from maintenance.spares.models import Lot, Spare


@dataclass(frozen=True, slots=True)
class LotLies:
    """So much of a lot at a place, and whether its last good day is past."""

    lot: Lot
    lies: Lies
    run_out: bool


@dataclass(frozen=True, slots=True)
class Shelf:
    """`plain` is what the plain rule would hold, where the model holds something by its price; `ashore`
    what lies in the stores, where what is looked for is not, and `run_out` what of it is no longer good;
    `missing` what is missing ashore, those that kits are to be filled with among them, orders or not, and
    `short` what of it is not on its way; `order` leaves out what is `written` in orders to be sent;
    `split` is told of one part alone, where kits and store would better share it otherwise."""

    spare: Spare
    lying: tuple[Lies, ...]
    lots: tuple[LotLies, ...]
    ashore: Decimal
    run_out: Decimal
    hold: Hold
    plain: Hold | None
    kits_lack: Decimal
    days: int
    lead: Lead
    coming: tuple[Coming, ...]
    written: Decimal
    missing: Decimal
    short: Decimal
    order: Hold
    price: Money | None
    split: Together | None = field(default=None, compare=False)

    @property
    def in_kits(self) -> tuple[Lies, ...]:
        """Aboard, where the book can be right."""
        return tuple(one for one in self.lying if one.place.boat_id is not None and one.on_hand > NONE)

    @property
    def elsewhere(self) -> tuple[Lies, ...]:
        """In the stores, and wherever the book says less than nothing."""
        aboard = self.in_kits
        return tuple(one for one in self.lying if one not in aboard)

    @property
    def aboard(self) -> Decimal:
        return sum((one.on_hand for one in self.in_kits), NONE)

    @property
    def astray(self) -> Decimal:
        """What is not where it should be."""
        return sum((one.on_hand for one in self.lying if one.place.sort == "astray"), NONE)

    @property
    def on_its_way(self) -> Decimal:
        return sum((one.quantity for one in self.coming), NONE)


def is_ashore(place: Place) -> bool:
    """Whether what lies there is in a store; what is looked for is in none."""
    return place.base_id is not None and place.sort != Place.Sort.ASTRAY
