"""How the seal of a boat's kit box was said to be in her round, beside what the book has on it now."""

from dataclasses import dataclass

from fleet.boats.models import Boat
from maintenance.spares.models import KitSeal
from maintenance.spares.sealing import seals_of
from maintenance.turnaround.models import Round, RoundItem, RoundLine
from maintenance.turnaround.walking import lines_of


@dataclass(frozen=True, slots=True)
class SealSaid:
    """How the seal of the kit box was said to be in a round, blank where nobody said; `seal` is the one
    that closes the box by the book; `anew`: it was put on after that was said."""

    state: str
    seal: KitSeal | None
    anew: bool

    @property
    def broken(self) -> bool:
        """Whether somebody found it broken and no new one is on since."""
        return self.state == RoundLine.State.FAILS and not self.anew

    @property
    def number(self) -> str:
        """The number on the box, as far as somebody looked at it since it was put on or broken."""
        if self.seal is None or self.broken or self.state in ("", RoundLine.State.NOT_ABOARD):
            return ""
        return self.seal.number


def seal_said(boat: Boat, row: Round | None) -> SealSaid:
    """The seal of a boat's kit box by her round and by the book."""
    seal = seals_of([boat.pk]).get(boat.pk)
    lines = lines_of(row).values() if row is not None else ()
    line = next((line for line in lines if line.item.asks == RoundItem.Asks.SEAL), None)
    if line is None:
        return SealSaid("", seal, anew=False)
    anew = seal is not None and seal.recorded_at > line.recorded_at
    return SealSaid(line.state, seal, anew)
