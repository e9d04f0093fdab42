"""A boat's coming weeks as one strip of line: charters as blocks, due days as ticks. Pure."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

DAY = 10  # units a day
LABEL_DAYS = 14
ROOM = 58  # units a label needs before the next one


@dataclass(frozen=True, slots=True)
class Block:
    x: int
    width: int


@dataclass(frozen=True, slots=True)
class Tick:
    x: int
    label: str
    first: bool

    @property
    def anchor(self) -> str:
        """A label at the left edge begins at its tick; any other stands under it."""
        return "start" if self.x < ROOM // 2 else "middle"


@dataclass(frozen=True, slots=True)
class Strip:
    """One drawing: how many days, the charters, the due days, the dates above."""

    name: str
    width: int
    blocks: tuple[Block, ...]
    ticks: tuple[Tick, ...]
    dates: tuple[tuple[int, str], ...]


def draw(
    name: str,
    on: date,
    days: int,
    charters: Iterable[tuple[date, date]],
    due: Sequence[tuple[date, str, bool]],
) -> Strip:
    """`due` are day, short label, and whether it is to be done before the next handover."""
    ends = on + timedelta(days=days)
    blocks = [
        Block((max(first, on) - on).days * DAY, (min(last, ends) - max(first, on)).days * DAY - 2)
        for first, last in charters
        if first < ends and last > on
    ]
    dates = [(n * DAY, _date(on + timedelta(days=n))) for n in range(0, days, LABEL_DAYS)]
    return Strip(name, days * DAY, tuple(blocks), tuple(_ticks(on, ends, due)), tuple(dates))


def _ticks(on: date, ends: date, due: Sequence[tuple[date, str, bool]]) -> Iterator[Tick]:
    """A tick a day, red where something of that day is to be done first; its label where there is
    room, those to be done first before the others."""
    days: dict[date, tuple[bool, str]] = {}
    for day, label, first in due:
        if on <= day < ends and (day not in days or (first and not days[day][0])):
            days[day] = (first, label)
    places = {day: (day - on).days * DAY + DAY // 2 for day in days}
    labelled: list[int] = []
    for day in sorted(days, key=lambda d: (not days[d][0], d)):
        x = places[day]
        if x < (ends - on).days * DAY - ROOM // 2 and all(abs(x - other) >= ROOM for other in labelled):
            labelled.append(x)
    for day in sorted(days):
        first, label = days[day]
        yield Tick(places[day], label if places[day] in labelled else "", first)


def _date(day: date) -> str:
    return f"{day.day} {day:%b}"
