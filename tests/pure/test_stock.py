"""What lies where, and what the book cannot be right about."""

from decimal import Decimal

from maintenance.spares.stock import Move, Short, below_allowance, on_hand, to_count

IMPELLER, OIL = 1, 2
STORE, LOCKER = 10, 11


def test_on_hand_is_what_came_less_what_went():
    moves = [
        Move(IMPELLER, None, STORE, Decimal(5)),
        Move(IMPELLER, STORE, LOCKER, Decimal(2)),
        Move(IMPELLER, LOCKER, None, Decimal(1)),
        Move(OIL, None, STORE, Decimal("20.5")),
    ]
    held = on_hand(moves)
    assert held == {(IMPELLER, STORE): 3, (IMPELLER, LOCKER): 1, (OIL, STORE): Decimal("20.5")}


def test_a_spare_used_that_the_book_did_not_have_goes_below_zero_and_is_to_be_counted():
    held = on_hand([Move(IMPELLER, LOCKER, None, Decimal(1))])
    assert held == {(IMPELLER, LOCKER): -1}
    assert to_count(held) == [(IMPELLER, LOCKER)]


def test_nothing_left_is_not_a_count_to_make():
    assert to_count({(IMPELLER, STORE): Decimal(0)}) == []


def test_a_place_below_its_allowance_is_short_and_one_that_never_held_any_too():
    should = {(IMPELLER, STORE): Decimal(2), (OIL, LOCKER): Decimal(1), (OIL, STORE): Decimal(5)}
    held = {(IMPELLER, STORE): Decimal(1), (OIL, STORE): Decimal(5)}
    assert below_allowance(held, should) == [
        Short((IMPELLER, STORE), Decimal(1), Decimal(2)),
        Short((OIL, LOCKER), Decimal(0), Decimal(1)),
    ]


def test_quantities_add_up_exactly():
    drops = [Move(OIL, None, STORE, Decimal("0.1"))] * 3
    assert on_hand(drops) == {(OIL, STORE): Decimal("0.3")}
