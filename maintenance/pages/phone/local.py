"""Days, times and numbers of the skipper's pages, each as its language writes them.

In English they are what `wording` says, so the base's pages may use these too.
"""

from datetime import date, datetime
from decimal import Decimal
from typing import Final
from zoneinfo import ZoneInfo

from django.utils.dateformat import format as put
from django.utils.formats import get_format

from maintenance.pages import clock_words, wording
from maintenance.pages.phone.language import ENGLISH, now_spoken

# Patterns of Django's date filter; E is the month's name as it stands after a day, l the weekday.
# Source: Unicode CLDR, skeletons MMMMEEEEd and yMMMMd (tests/doors/test_languages_local.py compares).
DAYS: Final = {
    "de": "l, j. E",
    "fr": "l j E",
    "it": "l j E",
    "es": r"l, j \d\e E",
    "el": "l j E",
    "hr": "l, j. E",
    "pl": "l, j E",
}
YEARS: Final = {"es": r" \d\e Y", "hr": " Y."}
DATES: Final = {"de": "j. E", "es": r"j \d\e E", "hr": "j. E"}
TIME: Final = "H:i"  # by 24 hours in every language, as on every paper of the charter


def in_english() -> bool:
    return now_spoken() == ENGLISH


def day(value: date | None, on: date | None = None) -> str:
    """Sat 30 May, samedi 30 mai; with the year where it is not this one."""
    if value is None or in_english():
        return wording.day(value, on)
    same_year = on is not None and value.year == on.year
    return _put(value, DAYS[now_spoken()] + ("" if same_year else _year()))


def plain_day(value: date) -> str:
    """30 May 2026, 30 de mayo de 2026."""
    if in_english():
        return f"{value.day} {value:%b %Y}"
    return _put(value, DATES.get(now_spoken(), "j E") + _year())


def moment(value: datetime, timezone: str) -> str:
    """25 Nov 2026, 09:40; 25. November 2026, 09:40; by the base's clock."""
    if in_english():
        return wording.moment(value, timezone)
    local = value.astimezone(ZoneInfo(timezone))
    return f"{plain_day(local.date())}, {put(local, TIME)}"


def time_of(value: datetime, now: datetime, timezone: str) -> str:
    """Tue 14:00; with the day of the month where the weekday alone could be another week's."""
    if in_english():
        return clock_words.time_of(value, now, timezone)
    local = value.astimezone(ZoneInfo(timezone))
    if abs(value - now) < clock_words.NEAR:
        return f"{_put(local.date(), 'l')}, {put(local, TIME)}"
    return f"{day(local.date(), now.astimezone(ZoneInfo(timezone)).date())}, {put(local, TIME)}"


def hours(value: Decimal | None) -> str:
    """1 212.4 or 1 212,4: the thousands parted by a narrow space in every language (ISO 80000-1)."""
    return _number(wording.hours(value))


def quantity(value: Decimal) -> str:
    """4.5 or 4,5."""
    return _number(wording.quantity(value))


def _number(text: str) -> str:
    return text if in_english() else text.replace(".", str(get_format("DECIMAL_SEPARATOR")))


def _year() -> str:
    return YEARS.get(now_spoken(), " Y")


def _put(value: date, pattern: str) -> str:
    """A day by a pattern. Months and weekdays begin small but in German and Greek: Django's catalogs
    have some of them with a capital."""
    text = put(value, pattern)
    return text if now_spoken() in ("de", "el") else text.lower()
