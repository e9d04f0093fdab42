"""Steps of months and the days of a season. Pure."""

from calendar import monthrange
from datetime import date

LAST_YEAR = date.max.year


def add_months(origin: date, months: int) -> date:
    """So many months on, in one step, clipped to the month's end; never past the year 9999."""
    year, month = divmod(origin.year * 12 + origin.month - 1 + months, 12)
    if year > LAST_YEAR:
        return date.max
    return date(year, month + 1, min(origin.day, monthrange(year, month + 1)[1]))


def next_step(origin: date, months: int, after: date) -> date:
    """The first of origin + k x months (k = 1, 2, 3 ...) that is after a day."""
    gone = (after.year - origin.year) * 12 + after.month - origin.month
    k = max(gone // months, 1)
    while (step := add_months(origin, k * months)) <= after and step < date.max:
        k += 1
    return step


def season_day(year: int, month_day: str) -> date:
    """A day written MM-DD in a year; 29 February is the 28th in the years that lack it."""
    month, day = int(month_day[:2]), int(month_day[3:])
    return date(year, month, min(day, monthrange(year, month)[1]))


def season_end_after(opens: str, closes: str, base_day: date) -> date:
    """The closing day of the first season that opens after a day; it may straddle New Year."""
    year = base_day.year
    if season_day(year, opens) <= base_day:
        year += 1
    return season_day(year + 1 if closes < opens else year, closes)
