"""Dates as makers print them: a day, or a month that is good to its last day. Pure."""

import re
from calendar import monthrange
from datetime import date

WANTED = "wanted a day such as 2027-06-15, or a month such as 2027-06 or 06/2027"


class DateNotClear(ValueError):
    """A printed date that could mean several days, or none."""


def spoken(day: date) -> str:
    """Sat 5 Dec 2026."""
    return f"{day:%a} {day.day} {day:%b %Y}"


def last_day_of_month(year: int, month: int) -> date:
    """ValueError where there is no such month."""
    if not 1 <= month <= 12:
        raise ValueError("no such month")
    return date(year, month, monthrange(year, month)[1])


def good_through(written: str) -> date:
    """The last day a printed date is good for; a month alone is good to its last day.

    3/4/2026 is the 3rd of April or the 4th of March: it is asked about, never guessed.
    """
    written = written.strip()
    try:
        if re.fullmatch(r"\d{4}-\d{2}-\d{2}", written):
            return date.fromisoformat(written)
        if match := re.fullmatch(r"(\d{4})-(\d{1,2})", written):
            return last_day_of_month(int(match[1]), int(match[2]))
        if match := re.fullmatch(r"(\d{1,2})[/.](\d{4})", written):
            return last_day_of_month(int(match[2]), int(match[1]))
    except ValueError as error:
        raise DateNotClear(WANTED) from error
    raise DateNotClear(WANTED)
