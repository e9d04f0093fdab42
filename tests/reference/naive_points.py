"""Points on a grid, enumerated one at a time, and days as people write them."""

import calendar
from datetime import date
from fractions import Fraction


def add_months(start: date, months: int) -> date:
    """Whole months later in one step, clipped to the month's end."""
    year, month = start.year, start.month
    for _ in range(months):
        year, month = (year + 1, 1) if month == 12 else (year, month + 1)
    return date(year, month, min(start.day, calendar.monthrange(year, month)[1]))


def replay(start, first, every, early, from_due: bool, dones: list, later):
    """The next point after all services were replayed; None once the limb has ended."""
    origin = start
    point = later(origin, every if first is None else first)
    for done in dones:
        if every is None:
            return None
        if from_due and done >= point - early:
            point = _next_on_grid(origin, every, point, done, later)
        else:
            origin = done
            point = later(origin, every)
    return point


def _next_on_grid(origin, every, point, done, later):
    k = 1
    while later(origin, k * every) <= point or later(origin, k * every) <= done:
        k += 1
    return later(origin, k * every)


def months_later(start: date, months: Fraction) -> date:
    return add_months(start, int(months))


def hours_later(start: Fraction, hours: Fraction) -> Fraction:
    return start + hours


def is_the_day(day: date, month_day: str) -> bool:
    if month_day == "02-29" and not calendar.isleap(day.year):
        month_day = "02-28"
    return day.strftime("%m-%d") == month_day


def good_to(printed: str) -> date:
    """The last day a printed date is good for: a month alone is good to its end."""
    if len(printed) == len("2027-06"):
        year, month = map(int, printed.split("-"))
        return date(year, month, calendar.monthrange(year, month)[1])
    return date.fromisoformat(printed)
