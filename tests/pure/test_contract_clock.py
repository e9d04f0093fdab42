"""The contract's clock against published charter terms, and against clocks that change at night.

Sources: the hours are the published terms that shared/TRADE.md cites in pain 34 [S107]; 48 h for any
charter is what another base promises there [S108]. The short and the long day in Athens stand in
shared/CHECKS.md, section 5: 30 to 31 March 2024 noon to noon is 23 h, 26 to 27 October is 25 h.
"""

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from maintenance.jobs.clock import PUBLISHED, Allowed, hours_allowed, left, runs_out_at

ATHENS = ZoneInfo("Europe/Athens")
H = timedelta(hours=1)


@pytest.mark.parametrize(
    ("days", "hours"),
    [(1, 24), (3, 24), (7, 24), (8, 48), (10, 48), (14, 48), (15, 72), (28, 72)],
)
def test_the_published_terms_give_24_48_and_72_hours(days, hours):
    assert hours_allowed(days) == hours


@pytest.mark.parametrize("days", [1, 7, 8, 15, 40])
def test_another_base_promises_48_hours_whatever_the_charter(days):
    assert hours_allowed(days, [Allowed(0, 48)]) == 48


def test_a_bases_own_hours_replace_the_published_ones_whatever_their_order():
    own = [Allowed(10, 36), Allowed(0, 12)]
    assert [hours_allowed(days, own) for days in (10, 11, 30)] == [12, 36, 36]


def test_own_hours_that_begin_over_a_week_promise_nothing_for_a_shorter_charter():
    assert hours_allowed(7, [Allowed(7, 48)]) is None
    assert hours_allowed(8, [Allowed(7, 48)]) == 48


def test_the_published_terms_leave_no_charter_without_a_clock():
    assert all(hours_allowed(days) for days in range(1, 400))
    assert [a.hours for a in PUBLISHED] == [24, 48, 72]


def test_24_hours_over_the_short_night_end_an_hour_later_on_the_wall():
    told = datetime(2024, 3, 30, 12, 0, tzinfo=ATHENS)
    noon = datetime(2024, 3, 31, 12, 0, tzinfo=ATHENS)
    assert left(told, 24, noon) == 1 * H  # noon to noon was 23 h
    assert runs_out_at(told, 24).astimezone(ATHENS) == datetime(2024, 3, 31, 13, 0, tzinfo=ATHENS)


def test_24_hours_over_the_long_night_end_an_hour_earlier_on_the_wall():
    told = datetime(2024, 10, 26, 12, 0, tzinfo=ATHENS)
    noon = datetime(2024, 10, 27, 12, 0, tzinfo=ATHENS)
    assert left(told, 24, noon) == -1 * H  # noon to noon was 25 h
    assert runs_out_at(told, 24).astimezone(ATHENS) == datetime(2024, 10, 27, 11, 0, tzinfo=ATHENS)


def test_the_end_is_said_in_utc_and_what_is_left_goes_below_nothing():
    told = datetime(2024, 7, 2, 14, 0, tzinfo=ATHENS)
    ends = runs_out_at(told, 48)
    assert (ends, ends.tzinfo) == (datetime(2024, 7, 4, 11, 0, tzinfo=UTC), UTC)
    assert left(told, 48, ends) == timedelta(0)
    assert left(told, 48, ends + 3 * H) == -3 * H
