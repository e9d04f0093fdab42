"""The charters of the demo base around a day: two years back, ten weeks ahead, mostly from Saturday
to Saturday."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from maintenance.exchange.demo.cast import Role
from maintenance.exchange.demo.chance import chance

SATURDAY = 5
LAST_WEEK = 10
SUMMER, WINTER = 0.85, 0.2  # how much of the weeks is let
WINTER_MONTHS = (12, 1, 2)
NEAR = range(-9, LAST_WEEK)  # weeks that are let as in summer whatever the time of year


@dataclass(frozen=True, slots=True)
class Hire:
    """One charter; times are the base's."""

    boat: str
    starts_on: date
    ends_on: date
    leaves_at: str = "17:00"
    back_at: str = "09:00"
    cancelled: bool = False


def coming_saturday(day: date) -> date:
    """The Saturday of the coming turnaround: the day itself where it is one."""
    return day + timedelta(days=(SATURDAY - day.weekday()) % 7)


def hires_of(role: Role, day: date, at_home: Collection[date] = ()) -> list[Hire]:
    """A boat's charters, the earliest first; on the days `at_home` none has her at sea."""
    saturday = coming_saturday(day)
    hires = [*_weekly(role, saturday, at_home), *_special(role.boat, saturday, day)]
    return sorted(hires, key=lambda hire: hire.starts_on)


def _weekly(role: Role, saturday: date, at_home: Collection[date]) -> Iterator[Hire]:
    for week in range(role.first_week, LAST_WEEK):
        starts_on = saturday + timedelta(weeks=week)
        ends_on = starts_on + timedelta(weeks=1)
        kept = week < -1 and any(starts_on < home < ends_on for home in at_home)
        if _let(role, week, starts_on) and not kept:
            yield Hire(role.boat, starts_on, ends_on)


def _let(role: Role, week: int, starts_on: date) -> bool:
    if week in role.booked or week in role.idle:
        return week in role.booked
    winter = starts_on.month in WINTER_MONTHS and week not in NEAR
    return chance("let", role.boat, week).random() < (WINTER if winter else SUMMER)


def _special(boat: str, saturday: date, day: date) -> Iterator[Hire]:
    """Charters that do not run from Saturday to Saturday, and one called off."""
    days = timedelta(days=1)
    if boat == "cowrie":
        yield Hire(boat, saturday - 14 * days, day)
    elif boat == "whelk":
        yield Hire(boat, day + days, day + 6 * days, leaves_at="12:00", back_at="18:00")
    elif boat == "periwinkle":
        yield Hire(boat, saturday - 7 * days, saturday + days, back_at="14:00")
        yield Hire(boat, saturday + days, saturday + 7 * days)
    elif boat == "scallop":
        yield Hire(boat, saturday, saturday + 7 * days, cancelled=True)
