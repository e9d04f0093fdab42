"""The closing day of the first season that opens after a service, against the calendar walked day by day."""

from datetime import date

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from maintenance.servicing.calendar import season_end_after
from tests.pure.by_hand import day, line, rule

DAYS_OF_THE_YEAR = st.dates(date(2024, 1, 1), date(2024, 12, 31)).map("{:%m-%d}".format)


def in_year(month_day, year):
    """dateutil puts a day into a year; it clips 29 February to the 28th."""
    return day(f"2024-{month_day}") + relativedelta(year=year)


def walked(opens, closes, base_day):
    """The first day after the base day on which the season opens, then the first on which it closes."""
    moment = base_day + relativedelta(days=1)
    while moment != in_year(opens, moment.year):
        moment += relativedelta(days=1)
    while moment != in_year(closes, moment.year):
        moment += relativedelta(days=1)
    return moment


@settings(deadline=None)
@given(DAYS_OF_THE_YEAR, DAYS_OF_THE_YEAR, st.dates(date(2019, 1, 1), date(2101, 12, 31)))
@example("10-15", "03-31", date(2025, 10, 15))
@example("02-29", "06-30", date(2025, 2, 28))
@example("11-01", "02-29", date(2099, 11, 1))
@example("02-28", "02-29", date(2025, 2, 1))
def test_a_season_ends_where_the_calendar_walked_day_by_day_says(opens, closes, base_day):
    assume((opens, closes) != ("02-29", "02-28"))  # told apart below
    assert season_end_after(opens, closes, base_day) == walked(opens, closes, base_day)


@pytest.mark.parametrize(
    ("base_day", "closes_on"),
    [
        ("2024-02-01", "2025-02-28"),
        ("2025-02-01", "2026-02-28"),
    ],
)
def test_a_season_from_29_to_28_february_is_a_year_and_never_a_day(base_day, closes_on):
    """Where the 29th is the 28th both its days are one; it lasts the year all the same. No source."""
    assert season_end_after("02-29", "02-28", day(base_day)) == day(closes_on)


@pytest.mark.parametrize(
    ("done_on", "next_on"),
    [
        ("2025-10-14", "2026-03-31"),
        ("2025-10-15", "2027-03-31"),
        ("2026-01-20", "2027-03-31"),
        ("2026-03-31", "2027-03-31"),
        ("2026-04-01", "2027-03-31"),
    ],
)
def test_what_was_done_this_winter_is_due_at_the_end_of_the_next(done_on, next_on):
    """Common practice, no source: gearbox oil once a winter, between 15 October and 31 March."""
    winter = line(rule(season=("10-15", "03-31")), "2024-05-01", done_on)
    assert (winter.due_on, winter.limit_on, winter.governs) == (day(next_on), day(next_on), "season")
