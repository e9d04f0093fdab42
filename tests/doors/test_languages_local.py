"""Days, times and numbers of the skipper's pages, against Unicode CLDR as Babel has it."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from babel.dates import format_date, format_time
from babel.numbers import format_decimal
from django.utils import translation

from maintenance.pages import clock_words, wording
from maintenance.pages.phone import local
from tests.doors.catalogs import TRANSLATED

DAYS = [date(2026, 1, 1) + timedelta(days=n) for n in range(365)]
MORNING = datetime(2026, 11, 28, 9, 5, tzinfo=UTC)
LISBON = "Europe/Lisbon"
NARROW = "\u202f"


@pytest.fixture(params=TRANSLATED)
def language(request):
    with translation.override(request.param):
        yield request.param


def test_a_day_is_as_the_language_writes_it_in_full(language):
    for day in DAYS:
        assert local.day(day) == format_date(day, "full", locale=language)
        assert local.plain_day(day) == format_date(day, "long", locale=language)


def test_within_the_year_the_year_is_left_out(language):
    for day in DAYS:
        assert local.day(day).startswith(local.day(day, date(2026, 5, 1)))
        assert "2026" not in local.day(day, date(2026, 5, 1))
        assert "2026" in local.day(day, date(2025, 5, 1))


def test_a_time_is_by_24_hours_of_the_bases_clock(language):
    """Where CLDR has another time it is named here: Greek counts to twelve, Spanish drops the nought.
    Own choice: every paper of a charter goes by 24 hours."""
    said = local.moment(MORNING, "Europe/Athens")
    assert said == f"{format_date(MORNING.date(), 'long', locale=language)}, 11:05"
    clear = {"el": f"9:05{NARROW}π.μ.", "es": "9:05"}
    assert format_time(MORNING, "short", tzinfo=UTC, locale=language) == clear.get(language, "09:05")
    assert local.moment(MORNING, "UTC").endswith(", 09:05")


def test_the_decimal_sign_is_the_languages_and_thousands_stand_apart_by_a_narrow_space(language):
    """The space is ISO 80000-1's, 7.3.1, in every language; CLDR has a full stop in some, and in Spanish
    none below ten thousand."""
    for hours in ("0.4", "12.4", "212.4", "1212.4", "11212.4"):
        theirs = format_decimal(Decimal(hours), locale=language, group_separator=False)
        assert local.hours(Decimal(hours)).replace(NARROW, "") == theirs
    assert local.hours(Decimal("11212.4")) == f"11{NARROW}212,4"
    assert local.quantity(Decimal("4.50")) == "4,5"
    assert local.quantity(Decimal("40")) == "40"


def test_near_a_weekday_alone_says_the_day(language):
    tomorrow, later = MORNING + timedelta(days=1), MORNING + timedelta(days=40)
    weekday = format_date(tomorrow, "EEEE", locale=language)
    assert local.time_of(tomorrow, MORNING, "UTC") == f"{weekday}, 09:05"
    assert local.time_of(later, MORNING, "UTC") == f"{format_date(later, 'full', locale=language)}, 09:05"


@pytest.mark.parametrize("code", ["en-gb", "en"])
def test_in_english_all_is_said_as_on_the_bases_pages(code):
    with translation.override(code):
        for day in DAYS:
            assert local.day(day) == wording.day(day)
            assert local.day(day, date(2026, 5, 1)) == wording.day(day, date(2026, 5, 1))
        assert local.day(None) == wording.day(None)
        assert local.plain_day(date(2026, 11, 28)) == "28 Nov 2026"
        assert local.moment(MORNING, LISBON) == wording.moment(MORNING, LISBON)
        assert local.time_of(MORNING, MORNING, LISBON) == clock_words.time_of(MORNING, MORNING, LISBON)
        for number in (Decimal("1212.4"), Decimal(7), Decimal("-3.5")):
            assert local.hours(number) == wording.hours(number)
            assert local.quantity(number) == wording.quantity(number)
