"""The clocks of deferral: counted days, charters, the lay-up; and that none of them runs out at sea."""

from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from maintenance.defects.rules import Waits, last_day
from maintenance.defects.until import Until, after_charters, counted_days, days_offered, next_turnaround

FOUND = date(2025, 7, 4)


@pytest.mark.parametrize(
    ("days", "ends"), [(3, date(2025, 7, 7)), (10, date(2025, 7, 14)), (120, date(2025, 11, 1))]
)
def test_calendar_days_leave_out_the_day_of_discovery(days, ends):
    """Found on 4 July 2025, categories B, C and D of a minimum equipment list: 3, 10 and 120 consecutive
    calendar days, the day of discovery excluded (shared/CHECKS.md section 7, from the master minimum
    equipment lists of a civil aviation authority: periods start at 00:01 of the next day)."""
    assert last_day(FOUND, days) == ends
    assert counted_days(FOUND, days) == Until(day=ends)


def test_it_holds_to_the_end_of_its_last_day():
    waits = Waits(until_on=date(2025, 7, 7))
    assert not waits.over(date(2025, 7, 7))
    assert waits.over(date(2025, 7, 8))


def test_a_charter_that_ends_on_the_last_day_is_carried_and_one_a_day_longer_is_not():
    waits = Waits(until_on=date(2025, 7, 12))
    assert waits.carries(date(2025, 7, 5), date(2025, 7, 12))
    assert not waits.carries(date(2025, 7, 5), date(2025, 7, 13))


def test_the_next_turnaround_of_a_boat_that_is_out_comes_before_she_goes_out_again():
    waits = Waits(max_charters=next_turnaround(out=True).charters)
    assert not waits.carries(date(2025, 7, 12), date(2025, 7, 19))


def test_the_next_turnaround_of_a_boat_that_is_in_comes_after_the_charter_that_comes():
    charters = next_turnaround(out=False).charters
    assert Waits(max_charters=charters).carries(date(2025, 7, 5), date(2025, 7, 12))
    assert not Waits(max_charters=charters, out_since=1).carries(date(2025, 7, 12), date(2025, 7, 19))


def test_so_many_charters_are_those_still_to_come():
    """The charter she left for earlier today goes into the count from tomorrow on, so it comes on top."""
    two = after_charters(2).charters
    assert [Waits(max_charters=two, out_since=n).charters_left for n in (0, 1, 2, 3)] == [2, 1, 0, 0]
    assert after_charters(2, left_today=True) == Until(charters=3)


def test_the_days_offered_are_those_not_past_each_with_its_last_day():
    offered = dict(days_offered(FOUND, on=date(2025, 7, 14)))
    assert offered[10] == date(2025, 7, 14)
    assert offered[120] == date(2025, 11, 1)
    assert 9 not in offered


def test_what_waits_until_lay_up_is_over_when_she_is_laid_up_and_not_before():
    waits = Waits(at_layup=True)
    assert not waits.over(date(2025, 11, 1))
    assert waits.over(date(2025, 11, 1), laid_up=True)
    assert waits.carries(date(2025, 10, 25), date(2025, 11, 1), layup_on=date(2025, 11, 1))
    assert not waits.carries(date(2025, 10, 25), date(2025, 11, 1), layup_on=date(2025, 10, 31))


busy = settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # the machine is shared
days = st.dates(date(2025, 1, 1), date(2026, 12, 31))
deferrals = st.builds(
    Waits,
    until_on=st.none() | days,
    max_charters=st.none() | st.integers(0, 5),
    at_layup=st.booleans(),
    out_since=st.integers(0, 5),
)


@busy
@given(waits=deferrals, starts_on=days, nights=st.integers(1, 30), layup_on=st.none() | days)
def test_what_carries_a_charter_never_falls_due_at_sea(waits, starts_on, nights, layup_on):
    """On every day she is out, and on the day she is back, it is not over."""
    ends_on = starts_on + timedelta(days=nights)
    if not waits.carries(starts_on, ends_on, layup_on):
        return
    assert waits.max_charters is None or waits.out_since < waits.max_charters
    for n in range(nights + 1):
        day = starts_on + timedelta(days=n)
        laid_up = layup_on is not None and layup_on <= day < ends_on
        assert not waits.over(day, laid_up=laid_up), day


@busy
@given(waits=deferrals, starts_on=days, nights=st.integers(1, 30))
def test_what_does_not_carry_has_a_reason_that_is_inside_the_charter_or_before(waits, starts_on, nights):
    ends_on = starts_on + timedelta(days=nights)
    if waits.carries(starts_on, ends_on):
        return
    ended = waits.until_on is not None and waits.until_on < ends_on
    assert ended or waits.charters_left == 0
