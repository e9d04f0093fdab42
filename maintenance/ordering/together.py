"""Whether the same number of a part would do better split otherwise between the store and the kits. Pure.

Kits alike are filled again at the turnaround, from a store that waits for its supplier (`levels.py`).
"""

from dataclasses import dataclass
from typing import Final

from maintenance.ordering.levels import Levels, Line, at_levels, best_levels

WALK: Final = 3.5  # days a kit waits to be filled from a store that has it: half a charter week, no source
PAYS: Final = 0.8  # of what is missing now: less is worth moving parts for, no source
NOTICED: Final = 0.05  # parts missing aboard on average: some days of a season, no source


@dataclass(frozen=True, slots=True)
class Together:
    """A part's number split as it is, and as next to nothing less could be missing aboard."""

    now: Levels
    best: Levels
    kits: int

    @property
    def pays(self) -> bool:
        """Whether the other split leaves so much less missing that somebody notices."""
        less = self.now.missing - self.best.missing
        return less > NOTICED and self.best.missing < PAYS * self.now.missing

    def __str__(self) -> str:
        return (
            f"shared otherwise, fewer would be missing at sea: {_split(self.best)} of {self.kits} "
            f"instead of {_split(self.now)} ({_times(self.best)} missing aboard on average instead of "
            f"{_times(self.now)}); what the due list takes lies ashore besides"
        )


def together(*, kits: int, store: int, kit: int, rate: float, supplier: float) -> Together | None:
    """The two splits; `rate` is what one kit uses in a day, `supplier` the days an order takes. None
    where there are no two kits to share between, nothing to share, or nothing is ever used."""
    if kits < 2 or store + kit < 1 or rate <= 0:
        return None
    line = Line(kits, rate, supplier, WALK)
    return Together(at_levels(line, store=store, kit=kit), _fewest_aboard(line, store + kits * kit), kits)


def _fewest_aboard(line: Line, units: int) -> Levels:
    """The split with the fewest in kits that nobody could tell from the best of all."""
    enough = best_levels(line, units).missing + NOTICED
    splits = (at_levels(line, store=units - n * line.kits, kit=n) for n in range(units // line.kits + 1))
    return next(one for one in splits if one.missing <= enough)


def _split(levels: Levels) -> str:
    return f"{levels.store or 'none'} ashore and {levels.kit or 'none'} in each kit"


def _times(levels: Levels) -> str:
    return f"{levels.missing:.2g}"
