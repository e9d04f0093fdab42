"""A sailing hull drawn from the side and from above, with numbered marks where she is damaged. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass

from maintenance.defects.rules import HULL_PLACES

WIDTH, HEIGHT = 520, 400
# Where each place is on the drawing: the side view above (bow to the right), the plan view below.
AT: Mapping[str, tuple[int, int]] = {
    "mast and rig": (292, 52),
    "bottom": (392, 197),
    "keel": (278, 222),
    "rudder": (92, 212),
    "propeller": (146, 203),
    "shaft or saildrive": (188, 190),
    "bow": (488, 320),
    "port bow": (412, 282),
    "starboard bow": (412, 358),
    "port side": (270, 266),
    "starboard side": (270, 374),
    "port quarter": (120, 273),
    "starboard quarter": (120, 367),
    "stern": (44, 320),
    "deck": (200, 320),
}


@dataclass(frozen=True, slots=True)
class Mark:
    """A place that is marked: its number, where it is drawn, how many things are known there."""

    number: int
    place: str
    x: int
    y: int
    count: int
    bad: bool = False

    @property
    def says(self) -> str:
        return f"{self.number}. {self.place}: {self.count}"


def marks(counts: Mapping[str, int], bad: frozenset[str] = frozenset()) -> list[Mark]:
    """The places where something is known, numbered in the order of the list; `bad` are those with
    something unsafe or that limits use."""
    there = [place for place in HULL_PLACES if counts.get(place)]
    return [Mark(n, place, *AT[place], counts[place], place in bad) for n, place in enumerate(there, 1)]
