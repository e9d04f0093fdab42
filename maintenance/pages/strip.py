"""A boat's coming weeks as one strip of line: charters as blocks, due days as ticks. Pure."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

DAY = 10  # units a day
LABEL_DAYS = 14
ROOM = 46  # units a label needs before the next one


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
    """A tick a day; a label only where the one before leaves room for it."""
    free = 0
    seen: dict[date, bool] = {}
    for day, _, first in due:
        seen[day] = seen.get(day, False) or first
    names = {day: label for day, label, _ in reversed(due)}
    for day in sorted(seen):
        if not on <= day < ends:
            continue
        x = (day - on).days * DAY + DAY // 2
        label = names[day] if x >= free and x < (ends - on).days * DAY - ROOM // 2 else ""
        free = x + ROOM if label else free
        yield Tick(x, label, seen[day])


def _date(day: date) -> str:
    return f"{day.day} {day:%b}"
