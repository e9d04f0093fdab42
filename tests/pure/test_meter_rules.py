"""Which dials one meter can have shown, and in what order."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

import pytest

from fleet.meters.rules import (
    Dial,
    Timeline,
    Use,
    can_be_right,
    impossible_pairs,
    in_order,
    neighbours,
    rate_of,
)
from fleet.spans import Span

DAY = date(2026, 5, 20)


def dial(days: int, hours: str, **more) -> Dial:
    return Dial(DAY + timedelta(days=days), Decimal(hours), **more)


@pytest.mark.parametrize(
    ("after", "right"),
    [
        (dial(1, "100"), True),
        (dial(1, "99.9"), False),
        (dial(1, "148"), True),  # two days counted, 24 hours each
        (dial(1, "148.01"), False),
        (dial(0, "124"), True),  # one day
        (dial(0, "124.01"), False),
        (dial(7, "292"), True),  # a week out is eight days, both counted
        (dial(7, "300"), False),
    ],
)
def test_a_dial_is_right_that_neither_runs_back_nor_faster_than_the_clock(after, right):
    assert can_be_right(after, [dial(0, "100")]) is right


def test_a_dial_read_earlier_must_fit_the_one_after_it_too():
    known = [dial(0, "100"), dial(10, "150")]
    assert can_be_right(dial(5, "130"), known)
    assert not can_be_right(dial(5, "160"), known)
    assert not can_be_right(dial(9, "101"), [dial(0, "100"), dial(10, "150"), dial(9, "149")])


def test_a_first_dial_is_right_and_so_is_a_new_meters():
    assert can_be_right(dial(0, "3412"), [])
    assert can_be_right(dial(5, "0", new_meter=True), [dial(0, "3412")])


def test_no_dial_shows_less_than_nothing_not_even_a_first_or_a_new_meters():
    assert not can_be_right(dial(0, "-0.1"), [])
    assert not can_be_right(dial(5, "-1", new_meter=True), [dial(0, "3412")])


def test_after_a_new_meter_its_own_dials_are_the_neighbours():
    known = [dial(0, "3412"), dial(5, "0", new_meter=True)]
    assert can_be_right(dial(6, "10"), known)
    assert not can_be_right(dial(6, "3420"), known)
    assert can_be_right(dial(4, "3420"), known)


def test_on_the_day_of_a_new_meter_the_old_one_is_read_first_and_what_a_service_noted_last():
    old, new = dial(0, "900"), dial(0, "0", new_meter=True)
    noted = dial(0, "2", noted=True)
    assert in_order([noted, new, old]) == [old, new, noted]


def test_those_of_one_day_count_in_rising_hours():
    assert [d.hours for d in in_order([dial(0, "5"), dial(0, "3"), dial(0, "4")])] == [3, 4, 5]


def test_neighbours_are_the_dials_just_before_and_after_in_time():
    first, last = dial(0, "100"), dial(9, "190")
    assert neighbours(dial(3, "130"), [first, last]) == (first, last)
    assert neighbours(dial(-1, "90"), [first, last]) == (None, first)
    assert neighbours(dial(10, "200"), [first, last]) == (last, None)


def test_a_dial_equal_to_one_of_the_day_has_it_beside_it():
    assert neighbours(dial(0, "100"), [dial(0, "100")]) != (None, None)


def test_pairs_that_cannot_both_be_right_are_named_in_order():
    wrong = [dial(0, "100"), dial(1, "90"), dial(2, "95")]
    assert [(a.hours, b.hours) for a, b in impossible_pairs(reversed(wrong))] == [(100, 90)]


def test_a_total_carries_on_over_new_meters():
    line = Timeline.of([dial(0, "900"), dial(5, "940"), dial(5, "10", new_meter=True), dial(9, "25")])
    assert line.now == 955
    assert line.total_on(DAY + timedelta(days=4)) == 900
    assert line.total_of(DAY + timedelta(days=9), Decimal(20)) == 950


def test_before_the_first_dial_the_total_is_the_first():
    assert Timeline.of([dial(0, "900")]).total_on(DAY - timedelta(days=99)) == 900


def test_the_day_a_total_was_reached_is_that_of_the_first_reading_that_shows_so():
    line = Timeline.of([dial(0, "900"), dial(5, "940"), dial(9, "990")])
    assert line.first_day_reaching(Decimal(940), DAY) == DAY + timedelta(days=5)
    assert line.first_day_reaching(Decimal(941), DAY) == DAY + timedelta(days=9)
    assert line.first_day_reaching(Decimal(991), DAY) is None


def test_use_is_hours_over_the_charter_days_of_the_year_up_to_the_last_reading():
    line = Timeline.of([dial(-366, "1"), dial(-365, "100"), dial(0, "142")])
    week_out = [Span(DAY - timedelta(days=7), DAY + timedelta(days=7))]
    assert line.use(week_out) == Use(Decimal(42), 7)  # the day of the last reading is not counted
    assert not Timeline.of([])
    assert Timeline.of([]).use(week_out) == Use()


def test_a_rate_is_a_meters_own_steadied_by_fourteen_days_of_the_bases():
    assert rate_of(Use(Decimal(21), 7), Fraction(6)) == Fraction(21 + 14 * 6, 7 + 14)
    assert rate_of(Use(), Fraction(6)) == 6
    assert rate_of(Use(Decimal(21), 7), None) is None
