"""One spare of a base as it stands: where it lies, what comes, how many to hold, how many to order."""

from dataclasses import dataclass
from decimal import Decimal

from maintenance.ordering.holding import NONE, Hold
from maintenance.ordering.money import Money
from maintenance.ordering.orders import Coming
from maintenance.ordering.standing import Lead
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
    """`plain` is what the plain rule would hold, where the model holds something by its price."""

    spare: Spare
    lying: tuple[Lies, ...]
    lots: tuple[LotLies, ...]
    hold: Hold
    plain: Hold | None
    kits_lack: Decimal
    days: int
    lead: Lead
    coming: tuple[Coming, ...]
    order: Hold
    price: Money | None

    @property
    def in_kits(self) -> tuple[Lies, ...]:
        """Aboard, where the book can be right."""
        return tuple(one for one in self.lying if one.place.boat_id is not None and one.on_hand > NONE)

    @property
    def elsewhere(self) -> tuple[Lies, ...]:
        """In the stores, and wherever the book says less than nothing."""
        return tuple(one for one in self.lying if one not in self.in_kits)

    @property
    def ashore(self) -> Decimal:
        """In the stores; what is looked for is not there."""
        return sum((one.on_hand for one in self.lying if is_ashore(one)), NONE)

    @property
    def run_out(self) -> Decimal:
        """Of what is ashore, what is no longer good."""
        lots = (one for one in self.lots if one.run_out and is_ashore(one.lies))
        return sum((one.lies.on_hand for one in lots), NONE)

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

    @property
    def missing(self) -> Decimal:
        """What is missing ashore, those that kits are to be filled with among them, orders or not."""
        return max(self.hold.quantity + self.kits_lack - self.ashore + self.run_out, NONE)

    @property
    def short(self) -> Decimal:
        """What is missing and not on its way."""
        return max(self.missing - self.on_its_way, NONE)


def is_ashore(lies: Lies) -> bool:
    return lies.place.base_id is not None and lies.place.sort != "astray"
