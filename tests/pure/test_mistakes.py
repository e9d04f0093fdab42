"""What was probably meant by a dial that cannot be right. Slips as people make them: common practice,
no source."""

from datetime import date
from decimal import Decimal

import pytest

from fleet.meters.mistakes import MOST_ANSWERS, probably_meant, swapped
from fleet.meters.rules import Dial, can_be_right

BEFORE = Dial(date(2026, 5, 21), Decimal("3390.2"))
BACK = date(2026, 5, 28)
EXPECTED = Decimal("3412")


def meant(hours: str, dials=(BEFORE,), expected=EXPECTED):
    return probably_meant(Dial(BACK, Decimal(hours)), dials, expected)


@pytest.mark.parametrize(
    ("given", "hours", "slip"),
    [
        ("341", "3412", "a digit missing"),
        ("412", "3412", "a digit missing"),
        ("312.6", "3412.6", "a digit missing"),
        ("34126", "3412.6", "tenths read as units"),
        ("4312", "3412", "two digits swapped"),
        ("3142.6", "3412.6", "two digits swapped"),
    ],
)
def test_a_slip_is_undone_and_named(given, hours, slip):
    assert (Decimal(hours), slip) in [(m.hours, m.slip) for m in meant(given)]


@pytest.mark.parametrize("given", ["341", "34126", "4312", "0", "3", "999999999", "3390.1", "12.5"])
def test_every_answer_fits_its_neighbours_and_is_another_number(given):
    for answer in meant(given):
        assert can_be_right(Dial(BACK, answer.hours), [BEFORE])
        assert answer.hours != Decimal(given)


def test_the_nearest_to_what_is_expected_comes_first():
    hours = [m.hours for m in meant("341")]
    assert hours == sorted(hours, key=lambda h: abs(h - EXPECTED))
    assert hours[0] == EXPECTED


def test_no_more_than_a_few_answers_and_each_number_once():
    hours = [m.hours for m in meant("341")]
    assert len(hours) <= MOST_ANSWERS
    assert len(set(hours)) == len(hours)


def test_nothing_is_offered_where_no_slip_fits():
    assert meant("77.7", [BEFORE, Dial(date(2026, 5, 29), Decimal("3391"))]) == []


def test_a_minus_typed_before_the_number_is_taken_off():
    assert [(m.hours, m.slip) for m in meant("-3412.6")] == [(Decimal("3412.6"), "a minus too many")]
    assert meant("-5") == []


def test_an_answer_can_be_kept_as_it_stands_with_two_decimals():
    for answer in meant("34126.55") + meant("34126.00"):
        assert -answer.hours.as_tuple().exponent <= 2


def test_a_dial_of_a_sailed_week_in_which_no_hour_was_run_is_not_asked_about():
    assert can_be_right(Dial(BACK, BEFORE.hours), [BEFORE])


PORT, STARBOARD = Dial(date(2026, 5, 21), Decimal(1802)), Dial(date(2026, 5, 21), Decimal(2344))


def engines(port: str, starboard: str, known=None):
    given = {"port": Dial(BACK, Decimal(port)), "starboard": Dial(BACK, Decimal(starboard))}
    return swapped(given, known or {"port": [PORT], "starboard": [STARBOARD]})


def test_two_engines_written_against_each_others_names_are_seen():
    assert engines("2360.5", "1820") == ("port", "starboard")


def test_two_engines_written_right_are_not_called_swapped():
    assert engines("1820", "2360.5") is None


def test_two_wrong_dials_that_do_not_fit_exchanged_either_are_not_called_swapped():
    assert engines("99", "98") is None


def test_engines_of_the_same_hours_are_not_called_swapped():
    same = {"port": [PORT], "starboard": [PORT]}
    assert engines("1820", "1821", same) is None


def test_a_third_counter_is_left_out_of_the_swap():
    given = {
        "generator": Dial(BACK, Decimal(410)),
        "port": Dial(BACK, Decimal("2360.5")),
        "starboard": Dial(BACK, Decimal(1820)),
    }
    known = {
        "generator": [Dial(date(2026, 5, 21), Decimal(400))],
        "port": [PORT],
        "starboard": [STARBOARD],
    }
    assert swapped(given, known) == ("port", "starboard")
