"""When each task on the demo boats was done: as a base in good order does it, but for what the cast
says is due, late or was never written down."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from random import Random

from maintenance.exchange.demo.chance import chance
from maintenance.exchange.demo.fitout import Part
from maintenance.exchange.demo.hours import Shown
from maintenance.exchange.demo.log import Log, Row, done_for
from maintenance.servicing.calendar import add_months, season_day

WEEKS_A_MONTH = 4.345
ROUND = 9  # charters from one engine service to the next: about 225 of its 250 hours
MOST_DAYS_BETWEEN = 340  # and no more than these, so that the year does not pass first
CHECKS = ("impeller-check", "belt-check")
MOST_SINCE_LOOK = 6  # charters: with two more ahead, nothing comes up that the cast does not say
LONG_MONTHS = 48  # what is replaced so seldom was fitted new


@dataclass(frozen=True, slots=True)
class Done:
    """One service: its day, and the dial where the task counts hours."""

    on: date
    dial: Decimal | None = None


def services_of(log: Log, part: Part, interval: Row) -> list[Done]:
    """What is recorded of one task on one part, the latest first; of those of a lay-up nothing is."""
    if part.kind in log.role.never or interval["in_lay_up"]:
        return []
    return list(_services(log, part, interval))


def _services(log: Log, part: Part, interval: Row) -> Iterator[Done]:
    months = int(interval["every_months"] or 0)
    dials = log.dials.get(part.meter, ())
    if part.meter and log.new_engine_on:
        yield Done(log.new_engine_on, next(s.dial for s in dials if s.old is not None))
    elif interval["every_charters"]:
        yield from (
            Done(h.starts_on) for h in reversed(log.hires) if h.starts_on < log.today and not h.cancelled
        )
    elif interval["season_opens"]:
        yield from _winters(log, part, interval)
    elif interval["every_hours"] and dials:
        yield from _by_hours(log, part, interval, dials)
    elif interval["counts_from"] == "due":
        yield from (Done(day) for day in yearly(log, part, interval)[1:])
    elif months and months < LONG_MONTHS:
        yield from _by_months(log, part, interval, months)
    elif months:
        yield Done(log.saturday_at_home(_draw(part, interval).randint(60, int(months * WEEKS_A_MONTH * 0.6))))


def before_new_engine(log: Log, part: Part, interval: Row) -> list[Done]:
    """What was done on a part of the engine that is gone, the latest first."""
    if not interval["every_hours"]:
        return []
    meter = log.dials[part.meter]
    gone = [shown for shown in meter if log.new_engine_on and shown.day < log.new_engine_on]
    return list(_by_hours(log, part, interval, gone))


def _draw(part: Part, interval: Row) -> Random:
    return chance("done", part.code, interval["interval"])


def _by_hours(log: Log, part: Part, interval: Row, dials: Sequence[Shown]) -> Iterator[Done]:
    """At every so many returns; the last time so many charters ago as the cast says or chance does."""
    at = min(_charters_since(log, part, interval), len(dials) - 1)
    while at < len(dials):
        yield Done(dials[at].day, dials[at].dial)
        if Decimal(interval["every_hours"]) > 250:
            return
        at = _earlier(dials, at)


def _charters_since(log: Log, part: Part, interval: Row) -> int:
    role, code = log.role, interval["interval"]
    told = role.since_checks if code in CHECKS else role.since_round
    if Decimal(interval["every_hours"]) > 250:
        return _draw(part, interval).randint(8, 30)
    if part.meter in told:
        return told[part.meter]
    together = "checks" if code in CHECKS else "round"
    return chance("since", part.boat, part.meter, together).randint(1, MOST_SINCE_LOOK)


def _earlier(dials: Sequence[Shown], at: int) -> int:
    """The return of the service before, no further back than hours and the year allow."""
    before = at + 1
    while (
        before < min(at + ROUND, len(dials) - 1)
        and (dials[at].day - dials[before + 1].day).days < MOST_DAYS_BETWEEN
    ):
        before += 1
    return before


def _by_months(log: Log, part: Part, interval: Row, months: int) -> Iterator[Done]:
    period = int(months * WEEKS_A_MONTH)
    told = log.role.due_in.get(interval["interval"]) if _is_told(log, part) else None
    if told is None:
        day = log.saturday_at_home(_weeks_since(log, part, interval, period))
    else:
        day = done_for(log.saturday, told, months)
    while day >= log.first_day:
        yield Done(day)
        weeks = (log.saturday - day).days // 7 + period - _draw(part, interval).randint(0, 2)
        day = log.saturday_at_home(weeks)


def _is_told(log: Log, part: Part) -> bool:
    """Of several alike the cast means the first."""
    return next(p for p in log.parts if p.kind == part.kind) == part


def _weeks_since(log: Log, part: Part, interval: Row, period: int) -> int:
    """Few enough that it is not due before the next charter is back."""
    most = min(period - _weeks_ahead(log), log.weeks_known - 1)
    return _draw(part, interval).randint(1, max(most, 1))


def _winters(log: Log, part: Part, interval: Row) -> Iterator[Done]:
    """A Saturday in each winter, some weeks after the season opened."""
    weeks = _draw(part, interval).randint(2, 10)
    for year in range(log.today.year, log.first_day.year - 1, -1):
        opens = season_day(year, interval["season_opens"])
        ago = (log.saturday - opens).days // 7 - weeks
        if 0 < ago <= log.weeks_known:
            yield Done(log.saturday_at_home(ago))


def yearly(log: Log, part: Part, interval: Row) -> list[date]:
    """Two yearly services, the latest first, and before them the day that the next one falls due:
    each was done some days before the anniversary of the fitting, as the station had a place."""
    draw = _draw(part, interval)
    told = log.role.weeks_ago.get(interval["interval"]) if _is_told(log, part) else None
    weeks = told or draw.randint(1, 52 - _weeks_ahead(log))
    last = log.saturday_at_home(min(weeks, log.weeks_known))
    due = add_months(last + timedelta(days=draw.randint(3, 20)), 12)
    return [due, last, last - timedelta(weeks=52)]


def _weeks_ahead(log: Log) -> int:
    """Weeks from the coming Saturday to the end of the next charter, and some to spare."""
    return -(-(log.next_back - log.saturday).days // 7) + 3
