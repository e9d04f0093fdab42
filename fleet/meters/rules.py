"""What an hour meter's dials add up to, which of them cannot be right, and how fast it runs. Pure."""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from itertools import pairwise

from fleet.spans import Span, charter_days

HOURS_A_DAY = 24
RATE_DAYS = 365  # how far back from the last reading the rate looks
RATE_WEIGHT = 14  # charter days that the base's own rate weighs against the meter's


@dataclass(frozen=True, slots=True)
class Dial:
    """Hours a meter showed on a day; `noted` is one written down with a service or a fitting."""

    day: date
    hours: Decimal
    new_meter: bool = False
    noted: bool = False


@dataclass(frozen=True, slots=True)
class Use:
    """Hours run over charter days: S and D of the design, of one meter or of a base's together."""

    hours: Decimal = Decimal(0)
    days: int = 0

    def __add__(self, other: "Use") -> "Use":
        return Use(self.hours + other.hours, self.days + other.days)

    @property
    def rate(self) -> Fraction | None:
        """Hours a charter day, exactly; None without a charter day."""
        return Fraction(self.hours) / self.days if self.days else None


def in_order(dials: Iterable[Dial]) -> list[Dial]:
    """The dials as they were read.

    Those of one day count in rising hours. On the day of a new meter every one not marked so and
    not noted with a service or fitting is the old meter's and comes first, then the new one's,
    then what services and fittings noted, which is the new one's.
    """
    dials = list(dials)
    changed = {dial.day for dial in dials if dial.new_meter}

    def place(dial: Dial) -> tuple[date, int, Decimal]:
        if dial.day not in changed:
            return dial.day, 0, dial.hours
        return dial.day, 1 if dial.new_meter else 2 if dial.noted else 0, dial.hours

    return sorted(dials, key=place)


def possible(before: Dial, after: Dial) -> bool:
    """Whether one meter can show these one after the other: not backwards, and no more than
    24 hours a day with both days counted. A new meter starts where it likes."""
    if after.new_meter:
        return True
    days = (after.day - before.day).days + 1
    return 0 <= after.hours - before.hours <= days * HOURS_A_DAY


def impossible_pairs(dials: Iterable[Dial]) -> list[tuple[Dial, Dial]]:
    """Neighbours in time that one meter cannot both have shown."""
    ordered = in_order(dials)
    return [pair for pair in pairwise(ordered) if not possible(*pair)]


def neighbours(dial: Dial, dials: Iterable[Dial]) -> tuple[Dial | None, Dial | None]:
    """The dials of the same meter just before and just after one, by the order they were read."""
    ordered = in_order([*dials, dial])
    at = next(i for i, other in enumerate(ordered) if other is dial)
    before = ordered[at - 1] if at else None
    after = ordered[at + 1] if at + 1 < len(ordered) else None
    return before, after


def can_be_right(dial: Dial, dials: Iterable[Dial]) -> bool:
    """Whether a dial fits between its neighbours in time; none shows less than nothing."""
    if dial.hours < 0:
        return False
    before, after = neighbours(dial, dials)
    return (before is None or possible(before, dial)) and (after is None or possible(dial, after))


@dataclass(frozen=True)
class Timeline:
    """A meter's dials in order with the total at each: it starts at the first dial and carries on
    across new meters."""

    dials: tuple[Dial, ...]

    @classmethod
    def of(cls, dials: Iterable[Dial]) -> "Timeline":
        return cls(tuple(in_order(dials)))

    @cached_property
    def days(self) -> list[date]:
        return [dial.day for dial in self.dials]

    @cached_property
    def offsets(self) -> list[Decimal]:
        """What is added to each dial to make the total."""
        offsets: list[Decimal] = []
        offset = Decimal(0)
        for n, dial in enumerate(self.dials):
            if dial.new_meter and n:
                offset += self.dials[n - 1].hours - dial.hours
            offsets.append(offset)
        return offsets

    @cached_property
    def totals(self) -> list[Decimal]:
        pairs = zip(self.dials, self.offsets, strict=True)
        return [dial.hours + offset for dial, offset in pairs]

    def __bool__(self) -> bool:
        return bool(self.dials)

    @property
    def now(self) -> Decimal:
        """The latest total, in hours; IndexError on a meter without a reading."""
        return self.totals[-1]

    @property
    def last_day(self) -> date:
        return self.days[-1]

    def total_on(self, day: date) -> Decimal:
        """The total of the latest reading up to a day; before the first, the first."""
        return self.totals[max(bisect_right(self.days, day) - 1, 0)]

    def total_of(self, day: date, hours: Decimal) -> Decimal:
        """The total that a dial noted on a day stands for: on the day of a new meter, its."""
        return hours + self.offsets[max(bisect_right(self.days, day) - 1, 0)]

    def first_day_reaching(self, total: Decimal, after: date) -> date | None:
        """The day of the first reading later than a day that shows so many hours."""
        for n in range(bisect_right(self.days, after), len(self.days)):
            if self.totals[n] >= total:
                return self.days[n]
        return None

    def use(self, spans: Sequence[Span]) -> Use:
        """Hours run and charter days in the year up to the last reading: `S` and `D`."""
        if not self.dials:
            return Use()
        opens = self.last_day - timedelta(days=RATE_DAYS)
        first = next(n for n, day in enumerate(self.days) if day >= opens)
        days = charter_days(spans, self.days[first], self.last_day)
        return Use(self.now - self.totals[first], days)


def rate_of(use: Use, usual: Fraction | None) -> Fraction | None:
    """Hours a meter is expected to run on a charter day: its own use, steadied by the base's
    usual rate as if it had run that for 14 days more; None where nobody has one."""
    if usual is None or not use.days:
        return usual
    return (Fraction(use.hours) + RATE_WEIGHT * usual) / (use.days + RATE_WEIGHT)
