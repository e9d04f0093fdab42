"""When a thing falls due: each limb's day and limit, and the earliest of them. Pure.

The rules are those of section 4 of the design: an interval has limbs, each limb a day or none,
and a thing is due at the earliest. A limb that may run over has a later limit.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from math import ceil
from typing import Protocol

from fleet.spans import Span, day_run
from maintenance.servicing.calendar import season_end_after
from maintenance.servicing.grid import Grid, hours_point, months_point
from maintenance.servicing.hours import PartHours

# On a tie the earlier of these governs.
LIMBS = ("expiry", "season", "calendar", "charters", "hours")


@dataclass(frozen=True, slots=True)
class Rule:
    """An interval's limbs; hours as decimals, blank ones None, `early` and `late` 0."""

    every_hours: Decimal | None = None
    every_months: int | None = None
    first_hours: Decimal | None = None
    first_months: int | None = None
    every_charters: int | None = None
    season: tuple[str, str] | None = None
    on_expiry: bool = False
    from_due: bool = False
    early_hours: Decimal = Decimal(0)
    early_days: int = 0
    late_hours: Decimal = Decimal(0)
    late_days: int = 0


@dataclass(frozen=True, slots=True)
class Done:
    """A service that counts for the line: its day, the dial noted with it, and whether it only
    marks a day to count from."""

    day: date
    dial: Decimal | None = None
    counting: bool = False
    meter: int | None = None


@dataclass(frozen=True, slots=True)
class Facts:
    """All that one line rests on; nothing in it is dated after the day asked about.

    `only_from` is of a task of the lay-up: the day the present one began, no service before it."""

    rule: Rule
    part: PartHours
    done: Sequence[Done] = ()
    expires_on: date | None = None
    spans: Sequence[Span] = ()
    rate: Fraction | None = None
    only_from: date | None = None

    @property
    def begins(self) -> date:
        """The day counting begins: the first fitting; of a task of the lay-up, the day that began."""
        fitted = self.part.stays[0].fitted_on
        return fitted if self.only_from is None else max(fitted, self.only_from)

    @property
    def base_day(self) -> date:
        return max((done.day for done in self.done), default=self.begins)

    @property
    def counting(self) -> bool:
        """Whether the base day is one to count from with no work claimed: chosen, or of the lay-up."""
        last = [done.counting for done in self.done if done.day == self.base_day]
        return all(last) if last else self.only_from is not None

    @property
    def since(self) -> date:
        """The later of base day and present fitting."""
        return max(self.base_day, self.part.present.fitted_on)


@dataclass(frozen=True, slots=True)
class Limb:
    """One limb's answer: its day, its limit, and what it lacks where it has no day."""

    name: str
    due_on: date | None
    limit_on: date | None
    basis: str = "dated"
    lacks: str | None = None


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a line says; hours are totals of the present meter."""

    due_on: date | None
    governs: str | None
    basis: str | None
    limit_on: date | None
    due_hours: Decimal | None
    hours_now: Decimal | None
    limit_hours: Decimal | None
    recorded: bool
    missing: tuple[str, ...]
    counted_from: date
    counting: bool = False


def judge(facts: Facts) -> Verdict:
    """The earliest limb, the earliest limit, and what the limbs without a day lack."""
    point = _hours_point(facts)
    limbs = list(_limbs(facts, point))
    first = min((limb for limb in limbs if limb.due_on), key=_rank, default=None)
    due_hours = now = limit_hours = None
    if point is not None and facts.part.timeline:
        due_hours, now = point + facts.part.carried, facts.part.timeline.now
        limit_hours = due_hours + facts.rule.late_hours
    return Verdict(
        due_on=first.due_on if first else None,
        governs=first.name if first else None,
        basis=first.basis if first else None,
        limit_on=min((limb.limit_on for limb in limbs if limb.limit_on), default=None),
        due_hours=due_hours,
        hours_now=now,
        limit_hours=limit_hours,
        recorded=bool(facts.done) or facts.only_from is not None,
        missing=tuple(sorted({limb.lacks for limb in limbs if limb.lacks})),
        counted_from=facts.base_day,
        counting=facts.counting,
    )


class HasLimits(Protocol):
    """What is overdue or not: a verdict, or the row that keeps it."""

    @property
    def limit_on(self) -> date | None: ...
    @property
    def hours_now(self) -> Decimal | None: ...
    @property
    def limit_hours(self) -> Decimal | None: ...


def is_overdue(verdict: HasLimits, on: date) -> bool:
    """Its limit is before the day, or its hours are past theirs; reaching it is neither."""
    past = verdict.limit_on is not None and verdict.limit_on < on
    if verdict.hours_now is None or verdict.limit_hours is None:
        return past
    return past or verdict.hours_now > verdict.limit_hours


def is_before_handover(verdict: HasLimits, next_ends_on: date | None) -> bool:
    """Its limit falls before the day the next charter ends, so it is done before that leaves."""
    if verdict.limit_on is None or next_ends_on is None:
        return False
    return verdict.limit_on < next_ends_on


def _rank(limb: Limb) -> tuple[date, int]:
    return limb.due_on or date.max, LIMBS.index(limb.name)


def _limbs(facts: Facts, point: Decimal | None) -> Iterator[Limb]:
    rule = facts.rule
    if rule.on_expiry:
        yield _dated("expiry", facts.expires_on, lacks="expiry")
    if rule.season:
        yield _dated("season", season_end_after(*rule.season, facts.base_day))
    if (day := _months_point(facts)) is not None:
        yield _dated("calendar", day, late=rule.late_days)
    if rule.every_charters:
        yield _dated("charters", _charter_due(facts, rule.every_charters), lacks="charter")
    if point is not None:
        yield _hours_limb(facts, point)


def _dated(name: str, day: date | None, *, late: int = 0, lacks: str | None = None) -> Limb:
    if day is None:
        return Limb(name, None, None, lacks=lacks)
    late = min(late, (date.max - day).days)
    return Limb(name, day, day + timedelta(days=late))


def _months_point(facts: Facts) -> date | None:
    rule = facts.rule
    early = timedelta(days=rule.early_days)
    grid = Grid(rule.every_months, rule.first_months, rule.from_due)
    days = sorted({done.day for done in facts.done})
    return months_point(grid, facts.begins, days, early)


def _hours_point(facts: Facts) -> Decimal | None:
    """The next point in hours counted on the component; None without an hours limb now."""
    rule = facts.rule
    if rule.every_hours is None and rule.first_hours is None:
        return None
    grid = Grid(rule.every_hours, rule.first_hours, rule.from_due)
    start = Decimal(0) if facts.only_from is None else facts.part.at(facts.begins)
    return hours_point(grid, _hours_served(facts), rule.early_hours, start)


def _hours_served(facts: Facts) -> list[Decimal]:
    """Hours counted at each day of service; by the largest dial where a day noted several."""
    noted: dict[date, list[Decimal]] = {done.day: [] for done in facts.done}
    for done in facts.done:
        if done.dial is not None:
            noted[done.day].append(facts.part.at(done.day, done.dial, done.meter))
    return [max(noted[day]) if noted[day] else facts.part.at(day) for day in sorted(noted)]


def _charter_due(facts: Facts, every: int) -> date | None:
    """The day the (N+1)th charter goes out of those starting on or after base day and fitting."""
    starts = sorted(span.starts_on for span in facts.spans if span.starts_on >= facts.since)
    return starts[every] if len(starts) > every else None


def _hours_limb(facts: Facts, point: Decimal) -> Limb:
    if not facts.part.timeline:
        return Limb("hours", None, None, lacks="reading")
    total = point + facts.part.carried
    due_on, basis = _day_of_hours(facts, total)
    limit_on, _ = _day_of_hours(facts, total + facts.rule.late_hours)
    lacks = None if due_on else "charter" if facts.rate is not None else "reading"
    return Limb("hours", due_on, limit_on, basis, lacks)


def _day_of_hours(facts: Facts, total: Decimal) -> tuple[date | None, str]:
    """The day the present meter reached a total, or is expected to by the charters booked."""
    timeline = facts.part.timeline
    if timeline.total_on(facts.since) >= total:
        return facts.since, "reached"
    if (day := timeline.first_day_reaching(total, facts.since)) is not None:
        return day, "reached"
    if not facts.rate:
        return None, "expected"
    start = max(timeline.last_day, facts.since)
    days = ceil(Fraction(total - timeline.now) / facts.rate)
    return day_run(facts.spans, start, days), "expected"
