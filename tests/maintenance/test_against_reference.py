"""Random fleets: the due list equals one worked out the slow way, a day and a grid point at a time."""

from datetime import UTC, datetime, timedelta

import pytest

from maintenance.exchange.due_list import as_record
from maintenance.servicing.listing import due_lines
from tests.reference.naive_due import naive_due
from tests.reference.random_fleet import LAST_FACT, write_random_fleet

SEEDS = [*range(10), *(pytest.param(n, marks=pytest.mark.long) for n in range(10, 25))]


def the_evening_of(day):
    """At 18:00 UTC it is the same day at Lisbon and at Athens, where the random fleets lie."""
    return datetime(day.year, day.month, day.day, 18, tzinfo=UTC)


def records(*, on, today):
    return [as_record(line) for line in due_lines(on=on, today=today, days=None)]


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_fleet_is_due_as_the_slow_way_says(load, tmp_path, seed):
    """The day asked about lies before some of the facts: the list is derived afresh for it."""
    on = write_random_fleet(tmp_path, seed)
    load(tmp_path, at=the_evening_of(LAST_FACT))
    expected = naive_due(tmp_path, on)
    assert expected, "a fleet without a line would show nothing"
    assert records(on=on, today=LAST_FACT) == expected


@pytest.mark.parametrize("seed", SEEDS[:8])
def test_what_is_stored_for_today_is_what_the_slow_way_says_of_today(load, tmp_path, seed):
    """Every fact has happened by then: the list is the stored one."""
    on = write_random_fleet(tmp_path, seed)
    today = LAST_FACT + timedelta(days=seed)
    assert on < today
    load(tmp_path, at=the_evening_of(today))
    assert records(on=today, today=today) == naive_due(tmp_path, today)
