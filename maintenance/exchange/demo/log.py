"""One demo boat's whole record around a day: charters, dials, parts and the days she was at home."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from maintenance.exchange.demo.cast import Role
from maintenance.exchange.demo.fitout import Part, parts_of
from maintenance.exchange.demo.hires import Hire, coming_saturday, hires_of
from maintenance.exchange.demo.hours import Shown, dials_of
from maintenance.servicing.calendar import add_months

Row = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Log:
    """A boat's record; `dials` the latest first by meter, a meter never read among them empty."""

    role: Role
    today: date
    hires: Sequence[Hire]
    dials: Mapping[str, Sequence[Shown]]
    parts: Sequence[Part]

    @property
    def boat(self) -> str:
        return self.role.boat

    @property
    def saturday(self) -> date:
        return coming_saturday(self.today)

    @property
    def first_day(self) -> date:
        return first_day(self.role, self.today)

    @property
    def weeks_known(self) -> int:
        return -self.role.first_week

    @property
    def next_back(self) -> date:
        """The day the next charter ends: what is due before it is done before it leaves."""
        ends = (h.ends_on for h in self.hires if h.starts_on >= self.today and not h.cancelled)
        return next(ends, self.saturday)

    @property
    def new_engine_on(self) -> date | None:
        shown = (s.day for dials in self.dials.values() for s in dials if s.old is not None)
        return next(shown, None)

    def saturday_at_home(self, weeks_ago: int) -> date:
        """The first turnaround at least so many weeks ago that she was not at sea on."""
        day = self.saturday - timedelta(weeks=weeks_ago)
        while any(hire.starts_on < day < hire.ends_on for hire in self.hires):
            day -= timedelta(weeks=1)
        return day


def first_day(role: Role, today: date) -> date:
    return coming_saturday(today) + timedelta(weeks=role.first_week)


def done_for(saturday: date, due_in: int, months: int) -> date:
    """When a task of every so many months was done that is due so many days from a Saturday."""
    return add_months(saturday + timedelta(days=due_in), -months)


def log_of(role: Role, today: date, boat: Row, meters: Sequence[str], intervals: Sequence[Row]) -> Log:
    """A boat's record, from the files that stand and the day."""
    months = {row["interval"]: int(row["every_months"] or 0) for row in intervals}
    saturday = coming_saturday(today)
    at_home = [done_for(saturday, due_in, months[code]) for code, due_in in role.due_in.items()]
    hires = hires_of(role, today, at_home)
    dials = {meter: dials_of(role, meter, hires, first_day(role, today), today) for meter in meters}
    return Log(role, today, hires, dials, tuple(parts_of(role.boat, boat["design"], tuple(meters))))
