"""Lots told apart, the last one taken twice, what is left of what came: worked out by hand."""

from datetime import date
from decimal import Decimal

import pytest

from maintenance.spares.cores import owed
from maintenance.spares.stock import Held, Move, first_below, left_of, lot_to_take

IMPELLER, OIL, STORE, LOCKER = 1, 2, 10, 11
D = Decimal
TODAY = date(2026, 5, 28)


def lot(key: int, quantity: str, expires: str | None = None) -> Held:
    return Held(key, D(quantity), date.fromisoformat(expires) if expires else None)


def test_the_lot_that_runs_out_first_is_taken_first():
    lots = [lot(1, "4", "2028-01-31"), lot(2, "4", "2026-12-31"), lot(3, "4", "2027-06-30")]
    assert lot_to_take(lots, D(1), TODAY) == 2


def test_a_lot_without_a_day_comes_after_those_with_one_and_before_one_run_out():
    run_out, undated, good = lot(1, "4", "2026-05-27"), lot(2, "4"), lot(3, "4", "2030-01-01")
    assert lot_to_take([run_out, undated, good], D(1), TODAY) == 3
    assert lot_to_take([run_out, undated], D(1), TODAY) == 2
    assert lot_to_take([run_out], D(1), TODAY) == 1


def test_a_lot_is_good_on_its_last_day():
    today, later = lot(1, "4", "2026-05-28"), lot(2, "4", "2026-05-29")
    assert lot_to_take([later, today], D(1), TODAY) == 1
    assert lot_to_take([later, today], D(1), date(2026, 5, 29)) == 2


def test_a_lot_that_holds_less_than_is_taken_is_passed_over_and_none_is_none():
    assert lot_to_take([lot(1, "1.5", "2026-12-31"), lot(2, "2", "2027-12-31")], D("1.6"), TODAY) == 2
    assert lot_to_take([lot(1, "1"), lot(2, "1")], D(2), TODAY) is None
    assert lot_to_take([], D(1), TODAY) is None


def test_of_two_alike_the_one_that_was_there_first_is_taken():
    assert lot_to_take([lot(7, "1", "2027-06-30"), lot(3, "1", "2027-06-30")], D(1), TODAY) == 3


def test_the_second_of_two_who_took_the_last_one_is_flagged():
    moves = [
        (1, Move(IMPELLER, None, STORE, D(1))),
        (2, Move(IMPELLER, STORE, None, D(1))),
        (3, Move(IMPELLER, STORE, LOCKER, D(1))),
    ]
    assert first_below(moves[:2]) == {}
    assert first_below(moves) == {(IMPELLER, STORE): 3}


def test_the_first_that_went_below_stays_flagged_until_the_book_is_at_nothing_again():
    moves = [(1, Move(OIL, STORE, None, D(2))), (2, Move(OIL, STORE, None, D(1)))]
    assert first_below(moves) == {(OIL, STORE): 1}
    came = (3, Move(OIL, None, STORE, D("2.999")))
    assert first_below([*moves, came]) == {(OIL, STORE): 1}
    assert first_below([*moves, came, (4, Move(OIL, None, STORE, D("0.001")))]) == {}


def test_it_is_flagged_anew_where_it_goes_below_once_more():
    moves = [
        (1, Move(OIL, STORE, None, D(1))),
        (2, Move(OIL, None, STORE, D(3))),
        (3, Move(OIL, STORE, None, D(3))),
    ]
    assert first_below(moves) == {(OIL, STORE): 3}


def test_a_place_below_nothing_says_nothing_of_another():
    moves = [(1, Move(OIL, STORE, LOCKER, D(1))), (2, Move(IMPELLER, None, STORE, D(1)))]
    assert first_below(moves) == {(OIL, STORE): 1}


@pytest.mark.parametrize(
    ("gone", "left"),
    [
        ("0", {1: D(2), 2: D(3)}),
        ("1", {1: D(1), 2: D(3)}),
        ("2", {2: D(3)}),
        ("4.5", {2: D("0.5")}),
        ("5", {}),
    ],
)
def test_what_goes_is_the_oldest_of_what_came(gone, left):
    assert left_of([(1, D(2)), (2, D(3))], D(gone)) == left


def test_more_gone_than_came_leaves_nothing():
    assert left_of([(1, D(2))], D(3)) == {}


def test_of_worn_out_units_the_oldest_goes_back_first():
    used = [(date(2026, 5, 20), D(1)), (date(2026, 4, 1), D(2))]
    assert owed(used, D(0)) == (3, date(2026, 4, 1))
    assert owed(used, D(1)) == (2, date(2026, 4, 1))
    assert owed(used, D(2)) == (1, date(2026, 5, 20))
    assert owed(used, D(3)) is None


def test_more_sent_back_than_came_off_owes_nothing():
    assert owed([(TODAY, D(1))], D(2)) is None
    assert owed([], D(0)) is None
