"""Whether the same number of a part would do better split otherwise between the store and the kits. Pure.

Kits alike are filled again at the turnaround, from a store that waits for its supplier (`levels.py`).
"""

from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from maintenance.ordering.holding import plain
from maintenance.ordering.levels import Levels, Line, at_levels, best_levels

WALK: Final = 3.5  # days a kit waits to be filled from a store that has it: half a charter week, no source
PAYS: Final = 0.8  # of what is missing now: less is worth moving parts for, no source


@dataclass(frozen=True, slots=True)
class Together:
    """A part's number split as it is and as it would leave the least missing aboard."""

    now: Levels
    best: Levels
    kits: int

    @property
    def pays(self) -> bool:
        """Whether the other split leaves clearly less missing."""
        return self.best.missing < PAYS * self.now.missing

    def __str__(self) -> str:
        total = plain(Decimal(self.now.store + self.kits * self.now.kit))
        return (
            f"{total} in all: {_split(self.best)} would leave aboard {_times(self.best)} missing on average, "
            f"{_split(self.now)} {_times(self.now)}"
        )


def together(*, kits: int, store: int, kit: int, rate: float, supplier: float) -> Together | None:
    """The two splits; `rate` is what one kit uses in a day, `supplier` the days an order takes. None
    where there are no two kits to share between, nothing to share, or nothing is ever used."""
    if kits < 2 or store + kit < 1 or rate <= 0:
        return None
    line = Line(kits, rate, supplier, WALK)
    return Together(at_levels(line, store=store, kit=kit), best_levels(line, store + kits * kit), kits)


def _split(levels: Levels) -> str:
    return f"{levels.store} ashore and {levels.kit or 'none'} in each kit"


def _times(levels: Levels) -> str:
    return f"{levels.missing:.2g}"
