"""Moves and counts of earlier days, sums of fractions, and what cannot be put right any more."""

from datetime import timedelta
from decimal import Decimal

import pytest

from fleet.refused import TooLate
from maintenance.spares.actions import count_stock, use_spare
from maintenance.spares.astray import find, miss
from maintenance.spares.facts import hands, lying
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.moving import (
    CountedSince,
    FoundSince,
    MoveRefused,
    correct_move,
    move_stock,
    void_move,
)
from tests.cast import NOW, TODAY

D = Decimal
YESTERDAY, BEFORE = TODAY - timedelta(1), TODAY - timedelta(2)


@pytest.fixture
def bottle(cast):
    return cast.spare["gas bottle"]


@pytest.fixture
def store(cast):
    return cast.place["store"]


@pytest.fixture
def there(bottle, store):
    """On hand at the end of a day."""
    return lambda day=TODAY: hands([store.pk], on=day).get((bottle.pk, store.pk), D(0))


def received(bottle, store, quantity, day=TODAY):
    return move_stock(bottle, why="received", quantity=D(quantity), day=day, at=NOW, to_place=store)


def test_thirty_tenths_are_three(bottle, store, there):
    for _ in range(30):
        received(bottle, store, "0.1")
    assert there() == 6
    assert count_stock(bottle, store, counted=D(6), day=TODAY, at=NOW) is None


def test_fractions_that_a_computer_cannot_hold_can_be_counted_down_to_nothing(bottle, store, there):
    for quantity in ("7", "0.1", "0.333", "4.5"):
        use_spare(bottle, store, quantity=D(quantity), day=TODAY, at=NOW)
    assert count_stock(bottle, store, counted=D(0), day=TODAY, at=NOW).quantity == D("8.933")
    assert there() == 0


def test_a_count_of_yesterday_leaves_what_moved_today(bottle, store, there):
    use_spare(bottle, store, quantity=D(2), day=TODAY, at=NOW)
    assert count_stock(bottle, store, counted=D(3), day=YESTERDAY, at=NOW) is None
    count_stock(bottle, store, counted=D(5), day=YESTERDAY, at=NOW)
    assert (there(YESTERDAY), there()) == (5, 3)


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ({"counted": D(-1)}, "counted: wanted how many, 0 or more"),
        ({"day": TODAY + timedelta(1)}, "day: wanted a day up to today, Thu 28 May 2026"),
    ],
)
def test_a_count_that_cannot_be_is_refused_by_name(bottle, store, there, said, words):
    with pytest.raises(MoveRefused, match=words):
        count_stock(bottle, store, **{"counted": D(1), "day": TODAY} | said, at=NOW)
    assert there() == 3


def test_what_another_row_stands_for_is_not_put_right_again(bottle, store, there):
    move = received(bottle, store, 4)
    again = correct_move(move, quantity=D(5), at=NOW)
    with pytest.raises(TooLate, match="It was put right or taken back since"):
        correct_move(move, quantity=D(9), at=NOW)
    gone = void_move(void_move(again, at=NOW), at=NOW)
    assert there() == 8, "of the way back nothing but the correction was undone"
    void_move(move, at=NOW)
    with pytest.raises(TooLate):
        correct_move(gone, quantity=D(1), at=NOW)
    assert there() == 3


def test_what_was_looked_for_is_not_put_right_to_less_than_was_found(cast, bottle, store):
    said = {"day": TODAY, "at": NOW}
    missed = miss(bottle, store, quantity=D(3), **said)
    find(bottle, store, base=cast.base, quantity=D(2), **said)
    with pytest.raises(FoundSince):
        correct_move(missed, quantity=D(1), at=NOW)
    assert correct_move(missed, quantity=D(2), at=NOW).quantity == 2


def test_nothing_said_is_nothing_put_right(bottle, store):
    with pytest.raises(MoveRefused, match="quantity: wanted another one, or another day or other words"):
        correct_move(received(bottle, store, 4), at=NOW)


def test_a_count_whose_day_was_put_right_knew_of_no_more_than_before(bottle, store, there):
    count = count_stock(bottle, store, counted=D(7), day=BEFORE, at=NOW)
    move = received(bottle, store, 2)
    correct_move(count, day=YESTERDAY, at=NOW)
    correct_move(move, quantity=D(1), at=NOW)
    assert there() == 8
    count_stock(bottle, store, counted=D(9), day=TODAY, at=NOW)
    with pytest.raises(CountedSince):
        void_move(move, at=NOW)


def test_one_question_tells_what_lies_its_lots_and_since_when(cast, bottle, store):
    received(bottle, store, 4, BEFORE)
    places = [place.pk for place in cast.place.values()]
    told = lying(places, on=TODAY)
    assert told.hands == hands(places, on=TODAY)
    assert told.since == min(BEFORE, *(move.day for move in bottle.moves.all()))
    assert lying([], on=TODAY).since is None


def test_no_part_of_what_has_a_number_of_its_own_is_taken(cast, bottle, store):
    count_stock(bottle, store, counted=D(0), day=TODAY, at=NOW)
    lot = keep_lot(bottle, Marked(serial="0007"))
    move_stock(bottle, why="received", quantity=D(1), day=TODAY, at=NOW, to_place=store, lot=lot)
    assert use_spare(bottle, store, quantity=D("0.5"), day=TODAY, at=NOW).lot is None
    assert use_spare(bottle, store, quantity=D(1), day=TODAY, at=NOW).lot == lot
