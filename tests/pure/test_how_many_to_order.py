"""How many to order of what falls short, against a textbook's worked examples.

Snyder and Shen, Fundamentals of Supply Chain Theory (2nd edition), as published with stockpyl 1.0.2;
inputs and answers as in shared/CHECKS.md, section 4a. Holding a unit for a year costs a percentage of its
price, so h .225 is 30 % of .75, and 275 is 25 % of 1100. The book's quantities are not whole; parts are.
"""

from datetime import date
from decimal import Decimal

import pytest

from maintenance.ordering.lots import cost_a_year
from maintenance.ordering.money import Asks, Money
from maintenance.ordering.quantity import Costs, to_order

D = Decimal
MARCH = date(2026, 3, 1)


def asks(each: str, least: str = "1", currency: str = "EUR") -> Asks:
    return Asks(MARCH, D(least), Money(D(each), currency), "Quay")


BREAKS = [asks("0.75"), asks("0.72", "400"), asks("0.68", "800")]
COSTS = Costs(D(8), D(30), "EUR")


@pytest.mark.parametrize(
    ("yearly", "prices", "costs", "quantity"),
    [
        (1300, [asks("0.75")], COSTS, 304),  # example 3.1: 304.0468
        (182_500, [asks("1100")], Costs(D(2250), D(25), "EUR"), 1728),  # problem 3.1: 1728.1098
        (1300, BREAKS, COSTS, 800),  # example 3.5: all-units discount, Q 800
    ],
)
def test_as_many_as_cost_the_least_over_a_year(yearly, prices, costs, quantity):
    found = to_order(D(3), D(1), yearly=D(yearly), asks=prices, costs=costs)
    assert found.quantity == quantity
    assert found.why == f"{quantity} at a time cost the least over a year, {yearly} being used in one"


def test_in_whole_packs_the_cheapest_of_those_around_it():
    """Of packs of 50 the two around 304.05: 300 and 350; tried by the cost of a year."""
    found = to_order(D(3), D(50), yearly=D(1300), asks=[asks("0.75")], costs=COSTS)
    tried = {q: cost_a_year(q, 1300, order=8, interest=0.3, price=0.75) for q in (300, 350)}
    assert found.quantity == min(tried, key=tried.get) == 300


def test_never_fewer_than_are_missing():
    found = to_order(D(500), D(1), yearly=D(1300), asks=[asks("0.75")], costs=COSTS)
    assert (found.quantity, found.why) == (500, "500 missing")


@pytest.mark.parametrize(
    "without",
    [
        {"costs": None},
        {"costs": Costs(D(0), D(30), "EUR")},
        {"costs": Costs(D(8), D(0), "EUR")},
        {"costs": Costs(D(8), D(30), "USD")},
        {"yearly": D(0)},
        {"asks": []},
        {"asks": [asks("0")]},
        {"asks": [asks("0.75", currency="USD")]},
    ],
)
def test_where_anything_of_it_is_not_known_what_is_missing_is_ordered(without):
    known = {"yearly": D(1300), "asks": BREAKS, "costs": COSTS}
    assert to_order(D(3), D(1), **known).quantity == 800
    assert to_order(D(3), D(1), **(known | without)).quantity == 3


def test_what_comes_in_parts_of_one_is_not_reckoned_so():
    """Packs of 2.5 litres: no whole number of pieces to try."""
    found = to_order(D(3), D("2.5"), yearly=D(1300), asks=BREAKS, costs=COSTS)
    assert (found.quantity, found.why) == (5, "3 missing, in packs of 2.5")


@pytest.mark.parametrize(
    ("short", "pack", "quantity", "why"),
    [
        ("0", "6", 0, "nothing is missing"),
        ("6", "6", 6, "6 missing"),
        ("7", "6", 12, "7 missing, in packs of 6"),
        ("10.5", "1", 11, "10.5 missing, so 11"),
    ],
)
def test_what_is_missing_in_whole_packs(short, pack, quantity, why):
    found = to_order(D(short), D(pack))
    assert (found.quantity, found.why) == (quantity, why)


def test_nothing_is_ordered_of_what_does_not_fall_short_however_cheap():
    assert to_order(D(0), D(1), yearly=D(1300), asks=BREAKS, costs=COSTS).quantity == 0


def test_of_two_prices_for_as_many_the_lower_one_counts_and_a_dearer_break_is_no_break():
    dear = [asks("0.75"), asks("0.90"), asks("0.80", "400")]
    found = to_order(D(3), D(1), yearly=D(1300), asks=dear, costs=COSTS)
    assert found.quantity == 304
