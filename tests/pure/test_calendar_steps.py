"""Steps of months against dateutil's relativedelta, and where recurrence rules (RFC 5545) say otherwise."""

from datetime import date
from itertools import count

import pytest
from dateutil.relativedelta import relativedelta
from dateutil.rrule import MONTHLY, YEARLY, rrule
from hypothesis import example, given, settings
from hypothesis import strategies as st

from maintenance.servicing.calendar import add_months, next_step
from tests.pure.by_hand import day, line, rule

DAYS = st.dates(date(1900, 1, 1), date(2300, 12, 31))
MONTHS = st.integers(1, 240)


@settings(deadline=None)
@given(DAYS, st.integers(0, 1200))
@example(date(2096, 2, 29), 48)
@example(date(2024, 1, 31), 1)
def test_months_are_added_as_dateutil_adds_them(origin, months):
    """dateutil's relativedelta is the standing reference: one step, clipped to the month's end."""
    assert add_months(origin, months) == origin + relativedelta(months=months)


@pytest.mark.parametrize(
    ("origin", "months", "expected"),
    [
        ("2023-01-31", 1, "2023-02-28"),
        ("2024-01-31", 1, "2024-02-29"),
        ("2024-02-29", 12, "2025-02-28"),
        ("2024-02-29", 48, "2028-02-29"),
        ("2096-02-29", 48, "2100-02-28"),
        ("2024-08-31", 6, "2025-02-28"),
        ("2023-02-28", 12, "2024-02-28"),
    ],
)
def test_month_ends_and_leap_days(origin, months, expected):
    """Recomputed with dateutil. 2100 is no leap year; 28 February does not stick to the month's end."""
    assert line(rule(every_months=months), origin).due_on == day(expected)
    assert line(rule(every_months=months), "1990-05-05", origin).due_on == day(expected)


@settings(deadline=None)
@given(DAYS, MONTHS, st.integers(-400, 9000))
@example(date(2024, 1, 31), 1, 29)
@example(date(2024, 2, 29), 12, 366)
def test_the_next_step_is_the_first_of_all_steps_after_a_day(origin, months, later):
    """Every origin + k x months by dateutil, one at a time."""
    after = origin + relativedelta(days=later)
    steps = (origin + relativedelta(months=k * months) for k in count(1))
    assert next_step(origin, months, after) == next(step for step in steps if step > after)


def test_no_step_goes_past_the_last_day_there_is():
    """Python's dates end with the year 9999; dateutil refuses, a due list must not."""
    assert add_months(date(9999, 11, 30), 3) == date.max
    assert next_step(date(9998, 1, 31), 24, date(9998, 2, 1)) == date.max
    with pytest.raises(ValueError, match="year"):
        date(9999, 11, 30) + relativedelta(months=3)


def test_chained_months_drift_and_anchored_ones_do_not():
    """Recomputed with dateutil: monthly from 2024-01-31, chained 29th for ever, anchored month's ends."""
    origin, month = day("2024-01-31"), relativedelta(months=1)
    chained = [origin := origin + month for _ in range(4)]
    assert [str(d) for d in chained] == ["2024-02-29", "2024-03-29", "2024-04-29", "2024-05-29"]
    anchored = [add_months(day("2024-01-31"), n) for n in range(1, 5)]
    assert [str(d) for d in anchored] == ["2024-02-29", "2024-03-31", "2024-04-30", "2024-05-31"]


def test_a_monthly_grid_from_the_31st_keeps_its_anchor_through_every_service():
    """Each done on the day it fell due: the grid returns to the 31st, the count from the work to the 29th."""
    on_grid, from_work = rule(every_months=1, from_due=True), rule(every_months=1)
    for limbs, expected in (
        (on_grid, ["2024-02-29", "2024-03-31", "2024-04-30", "2024-05-31"]),
        (from_work, ["2024-02-29", "2024-03-29", "2024-04-29", "2024-05-29"]),
    ):
        services = []
        for _ in range(4):
            services.append(str(line(limbs, "2024-01-31", *services).due_on))
        assert services == expected


def recurrences(freq, start, n):
    """The first days of a recurrence rule after its start."""
    return [moment.date() for moment in rrule(freq, dtstart=start, count=n + 1)][1:]


@pytest.mark.parametrize(
    ("freq", "start", "months", "skipped", "clipped"),
    [
        (
            MONTHLY,
            date(2024, 1, 31),
            1,
            ["2024-03-31", "2024-05-31", "2024-07-31", "2024-08-31", "2024-10-31"],
            ["2024-02-29", "2024-03-31", "2024-04-30", "2024-05-31", "2024-06-30"],
        ),
        (
            YEARLY,
            date(2024, 2, 29),
            12,
            ["2028-02-29", "2032-02-29", "2036-02-29"],
            ["2025-02-28", "2026-02-28", "2027-02-28"],
        ),
    ],
)
def test_a_recurrence_rule_leaves_out_what_a_due_day_clips(freq, start, months, skipped, clipped):
    """RFC 5545 section 3.3.10 ignores invalid days (here: dateutil.rrule); a month without a 31st would then
    have no service at all. A due day falls on the month's last day instead."""
    assert recurrences(freq, start, len(skipped)) == [day(d) for d in skipped]
    assert [add_months(start, k * months) for k in range(1, len(clipped) + 1)] == [day(d) for d in clipped]


@settings(deadline=None)
@given(st.dates(date(1950, 1, 1), date(2200, 12, 28)).filter(lambda d: d.day <= 28), st.integers(1, 24))
def test_up_to_the_28th_recurrence_rules_and_due_days_agree(start, every):
    by_rule = [moment.date() for moment in rrule(MONTHLY, interval=every, dtstart=start, count=7)]
    assert [add_months(start, k * every) for k in range(7)] == by_rule


def test_the_last_day_of_each_month_is_the_31sts_grid():
    """RFC 5545 with BYMONTHDAY=-1 (dateutil.rrule) says what an anchor on the 31st says."""
    start = date(2024, 1, 31)
    last_days = [moment.date() for moment in rrule(MONTHLY, bymonthday=-1, dtstart=start, count=60)]
    assert last_days[:4] == [day(d) for d in ("2024-01-31", "2024-02-29", "2024-03-31", "2024-04-30")]
    assert [add_months(start, k) for k in range(60)] == last_days
