"""A boat's coming weeks as one strip of line: charters as blocks, due days as ticks. Pure."""

from collections.abc import Callable, Iterable, Iterator, Sequence
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


SEASON_MONTHS = 12  # the most a season's strip shows
WIDE, NARROW = 1200, 400


@dataclass(frozen=True, slots=True)
class Season:
    """A whole season in one drawing of a given width: charters, due days, the months above, today."""

    name: str
    width: int
    blocks: tuple[Block, ...]
    ticks: tuple[Tick, ...]
    months: tuple[tuple[int, str], ...]
    today: int


def season_of(on: date, charters: Sequence[tuple[date, date]]) -> tuple[date, date]:
    """The first day shown and the one after the last: whole months from the first charter given to the
    last, today's among them, and no more than a year."""
    first = min([on, *(start for start, _ in charters)]).replace(day=1)
    first = max(first, _months_on(on.replace(day=1), 1 - SEASON_MONTHS))
    last = max([on, *(end for _, end in charters)])
    return first, min(_months_on(last.replace(day=1), 1), _months_on(first, SEASON_MONTHS))


def draw_season(
    name: str,
    on: date,
    charters: Sequence[tuple[date, date]],
    due: Iterable[tuple[date, bool]],
    width: int = WIDE,
) -> Season:
    """`due` are a day and whether it is to be done before the next handover; a past one stands today."""
    first, ends = season_of(on, charters)
    scale = width / (ends - first).days

    def at(day: date) -> int:
        return round((min(max(day, first), ends) - first).days * scale)

    spans = [(a, b) for a, b in charters if a < ends and b > first]
    blocks = tuple(Block(at(a), max(at(b) - at(a) - 1, 1)) for a, b in spans)
    days: dict[date, bool] = {}
    for day, soon in due:
        shown = max(day, on)
        if shown < ends:
            days[shown] = days.get(shown, False) or soon
    ticks = tuple(Tick(at(day), "", days[day]) for day in sorted(days))
    return Season(name, width, blocks, ticks, tuple(_months(first, ends, at)), at(on))


def _months(first: date, ends: date, at: Callable[[date], int]) -> Iterator[tuple[int, str]]:
    month = first
    while month < ends:
        yield at(month), f"{month:%b}"
        month = _months_on(month, 1)


def _months_on(first: date, months: int) -> date:
    whole = first.year * 12 + first.month - 1 + months
    return date(whole // 12, whole % 12 + 1, 1)


def _date(day: date) -> str:
    return f"{day.day} {day:%b}"
