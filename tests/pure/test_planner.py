"""Work against the time there is."""

from datetime import datetime

import pytest

from maintenance.planning.planner import DayLoad, Gap, total

SATURDAY_NINE = datetime.fromisoformat("2026-05-30T09:00")
SATURDAY_FIVE = datetime.fromisoformat("2026-05-30T17:00")


@pytest.mark.parametrize(
    ("back", "leaves", "minutes"),
    [
        (SATURDAY_NINE, SATURDAY_FIVE, 480),
        (datetime.fromisoformat("2026-05-30T14:00"), SATURDAY_FIVE, 180),
        (datetime.fromisoformat("2026-05-29T09:00"), SATURDAY_FIVE, 480),  # one night ashore: one working day
        (datetime.fromisoformat("2026-05-28T18:00"), SATURDAY_FIVE, 960),
        (SATURDAY_FIVE, SATURDAY_NINE, 0),  # she leaves before she is back
        (None, SATURDAY_FIVE, None),
    ],
)
def test_a_gap_is_the_hours_between_or_a_working_day_a_night(back, leaves, minutes):
    assert Gap(back, leaves).minutes(480) == minutes


def test_the_longest_job_fits_where_it_takes_no_longer_than_the_gap():
    turnaround = Gap(datetime.fromisoformat("2026-05-30T14:00"), SATURDAY_FIVE)
    assert turnaround.fits(180, 480)
    assert not turnaround.fits(181, 480)
    assert Gap(None, SATURDAY_FIVE).fits(9999, 480)


def test_a_day_has_its_people_less_what_every_boat_takes_anyway():
    day = DayLoad(people=2, workday=480, boats=5, boat_minutes=75, work=600)
    assert (day.there, day.fixed, day.left) == (960, 375, 585)
    assert day.over
    assert day.share == 100


def test_a_day_with_more_boats_than_time_has_nothing_left_and_never_less():
    day = DayLoad(people=1, workday=480, boats=7, boat_minutes=75, work=10)
    assert day.left == 0
    assert day.over
    assert day.share == 100


def test_a_day_nobody_works_lacks_the_work_and_what_the_boats_take():
    assert DayLoad(0, 480, 1, 75, 30).lacking == 105
    idle = DayLoad(0, 480, 0, 75, 0)
    assert not idle.over
    assert idle.share == 0


def test_boats_that_take_more_than_the_day_has_are_lacking_too():
    """Seven boats at 1 h 15 are 8 h 45: 45 minutes more than one person has, before any work."""
    load = DayLoad(1, 480, 7, 75, 600)
    assert (load.left, load.lacking) == (0, 645)


def test_the_share_is_a_percentage_of_what_is_left():
    assert DayLoad(1, 480, 0, 75, 120).share == 25


def test_a_job_whose_time_nobody_wrote_down_counts_as_none():
    assert total([30, None, 45]) == 75
    assert total([]) == 0
