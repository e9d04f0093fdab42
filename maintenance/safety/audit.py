"""Which printed dates hold on a day and until a boat is back, and how many are recorded at all. Pure."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from fleet.charters.rules import Booking

EXPIRED, RUNS_OUT, ILLEGIBLE, NO_DATE, IN_DATE = "expired", "runs out", "illegible", "no date", "in date"
WORST_FIRST = (EXPIRED, RUNS_OUT, ILLEGIBLE, NO_DATE, IN_DATE)
READ, NOT_LEGIBLE, NONE_PRINTED = "read", "illegible", "none"


@dataclass(frozen=True, slots=True)
class Thing:
    """One thing aboard, by its row's key, and where it is."""

    component: int
    code: str
    kind: int
    kind_name: str
    system: str
    position: str
    serial: str
    boat: int
    boat_name: str
    boat_code: str = ""
    kind_code: str = ""


@dataclass(frozen=True, slots=True)
class Printed:
    """What was recorded of one date, by whom, and the paper it rests on (its sha256 and mime)."""

    row: int
    state: str
    as_written: str
    good_through: date | None
    recorded_at: datetime
    recorded_by: str = ""
    paper: str = ""
    mime: str = ""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """That a thing is away, to whom and since when, and the lent one in its place, where there is one."""

    whom: str
    since: date
    lent: Printed | None = None
    lent_by: str = ""
    serial: str = ""


@dataclass(frozen=True, slots=True)
class Expected:
    """A date that a thing should carry, and what was known of it; `later` is when it was first
    recorded, where that was after the day asked about."""

    thing: Thing
    what: str
    printed: Printed | None = None
    later: datetime | None = None
    elsewhere: Elsewhere | None = None


@dataclass(frozen=True, slots=True)
class Through:
    """The last day a boat's dates are judged for, and the charter that ends then."""

    day: date
    booking: Booking | None = None


@dataclass(frozen=True, slots=True)
class Line:
    """One expected date with what it comes to."""

    expected: Expected
    state: str
    through: Through

    @property
    def thing(self) -> Thing:
        return self.expected.thing

    @property
    def printed(self) -> Printed | None:
        """What the date rests on: of a thing that is away, the lent one's."""
        away = self.expected.elsewhere
        return self.expected.printed if away is None else away.lent

    @property
    def good_through(self) -> date | None:
        return None if self.printed is None else self.printed.good_through

    @property
    def serial(self) -> str:
        away = self.expected.elsewhere
        return self.thing.serial if away is None else away.serial

    @property
    def recorded(self) -> bool:
        return self.good_through is not None

    @property
    def at_sea(self) -> bool:
        """Whether it runs out on the charter judged for, not before she leaves."""
        booking, good = self.through.booking, self.good_through
        return booking is not None and good is not None and booking.starts_on <= good < booking.ends_on


@dataclass(frozen=True, slots=True)
class Group:
    """The lines of one boat or kind, worst first."""

    key: int
    name: str
    lines: tuple[Line, ...]

    @property
    def wrong(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.state != IN_DATE)

    @property
    def good(self) -> tuple[Line, ...]:
        return tuple(line for line in self.lines if line.state == IN_DATE)

    @property
    def counts(self) -> dict[str, int]:
        return counts_of(self.lines)


@dataclass(frozen=True, slots=True)
class Audit:
    """Every expected date of a base's boats on a day, worst first."""

    on: date
    through: dict[int, Through]
    lines: tuple[Line, ...]

    @property
    def recorded(self) -> int:
        """How many of the expected dates were read."""
        return sum(line.recorded for line in self.lines)

    @property
    def counts(self) -> dict[str, int]:
        return counts_of(self.lines)

    def by_boat(self) -> list[Group]:
        return _grouped(self.lines, lambda line: (line.thing.boat, line.thing.boat_name))

    def by_kind(self) -> list[Group]:
        return _grouped(self.lines, lambda line: (line.thing.kind, line.thing.kind_name))


def counts_of(lines: Sequence[Line]) -> dict[str, int]:
    """How many lines there are in each state, worst first."""
    return {state: sum(line.state == state for line in lines) for state in WORST_FIRST}


def through_of(bookings: Iterable[Booking], on: date) -> Through:
    """The end of the first charter that goes out on a day or later; where none is booked, the end of
    the one that is out; else the day itself."""
    coming = [b for b in bookings if b.starts_on >= on]
    out = [b for b in bookings if b.starts_on < on < b.ends_on]
    booking = min(coming, key=lambda b: (b.starts_on, b.ends_on), default=None) or next(iter(out), None)
    return Through(on) if booking is None else Through(booking.ends_on, booking)


def state_of(good_through: date | None, state: str | None, on: date, through: date) -> str:
    """What one date comes to. It holds to the end of its own day, and what is good to the day she
    comes back is good; one that cannot be read is not taken for one that was never recorded."""
    if state == NOT_LEGIBLE:
        return ILLEGIBLE
    if good_through is None:
        return NO_DATE
    if good_through < on:
        return EXPIRED
    return IN_DATE if good_through >= through else RUNS_OUT


def audit(expected: Iterable[Expected], through: dict[int, Through], on: date) -> Audit:
    """Judges every expected date for a day."""
    lines = [_line(one, through.get(one.thing.boat) or Through(on), on) for one in expected]
    return Audit(on, through, tuple(sorted(lines, key=_worst_first)))


def _line(one: Expected, through: Through, on: date) -> Line:
    printed = one.printed if one.elsewhere is None else one.elsewhere.lent
    good, state = (printed.good_through, printed.state) if printed else (None, None)
    return Line(one, state_of(good, state, on, through.day), through)


def _worst_first(line: Line) -> tuple[object, ...]:
    thing = line.thing
    return (
        WORST_FIRST.index(line.state),
        line.good_through or date.max,
        thing.boat_name,
        thing.kind_name,
        thing.position,
        thing.code,
        line.expected.what,
    )


def _grouped(lines: Sequence[Line], key: Callable[[Line], tuple[int, str]]) -> list[Group]:
    """Groups in the order of their worst lines: more of the worst comes first, then by name."""
    found: dict[tuple[int, str], list[Line]] = {}
    for line in lines:
        found.setdefault(key(line), []).append(line)
    groups = [Group(number, name, tuple(of)) for (number, name), of in found.items()]
    return sorted(groups, key=lambda g: (_badness(g), g.name, g.key))


def _badness(group: Group) -> tuple[int, ...]:
    return tuple(-group.counts[state] for state in WORST_FIRST[:-1])
