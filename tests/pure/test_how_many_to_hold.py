"""How many of a spare to hold, and the sentence beside it; the rule is the base's own, no source."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from maintenance.ordering.chances import Rate
from maintenance.ordering.holding import (
    SEASON,
    Ahead,
    Hold,
    Taken,
    by_chance,
    by_costs,
    by_plain_rule,
    in_packs,
    most_in,
)

D = Decimal
MONTH = Ahead(28, planned=D(1))
TAKEN = [Taken(0, D(1)), Taken(10, D(2)), Taken(27, D(1)), Taken(38, D(3)), Taken(100, D(3))]


def test_the_most_that_went_in_so_many_days():
    assert most_in(28, TAKEN) == 4  # days 0 to 27 hold 4, days 11 to 38 hold 4; 0 to 28 would be 29 days
    assert most_in(29, TAKEN) == 6  # days 10 to 38
    assert most_in(1, TAKEN) == 3
    assert most_in(28, []) == 0


@given(st.lists(st.tuples(st.integers(0, 60), st.integers(1, 5)), max_size=12), st.integers(1, 70))
def test_no_so_many_days_on_end_held_more(taken, days):
    uses = [Taken(day, D(quantity)) for day, quantity in taken]
    by_hand = [sum(q for day, q in taken if first <= day < first + days) for first in range(-70, 61)]
    assert most_in(days, uses) == max(by_hand, default=0)


def test_what_is_planned_and_the_most_beyond_it():
    hold = by_plain_rule(MONTH, TAKEN, typed=D(9), looked_for=SEASON)
    why = "the due list takes 1 in the next 28 days; 4 more went in so many days, at most"
    assert hold == Hold(D(5), why)


def test_whole_packs_are_said():
    hold = by_plain_rule(Ahead(28, D(1), D(3)), TAKEN, looked_for=SEASON)
    assert hold.quantity == 6
    assert hold.why.endswith(", in packs of 3")


@pytest.mark.parametrize(("typed", "quantity"), [(D(7), 7), (D(5), 5), (D("4.5"), 5), (D(2), 5), (None, 5)])
def test_until_a_season_was_looked_at_the_base_says_unless_more_is_needed(typed, quantity):
    hold = by_plain_rule(MONTH, TAKEN, typed=typed, looked_for=SEASON - 1)
    assert hold.quantity == quantity
    by_the_base = "the base's own number, until a season of use is recorded"
    assert (hold.why == by_the_base) == (typed is not None and typed >= 5)


def test_nothing_ever_used_in_a_season_is_none_beyond_plan():
    hold = by_plain_rule(Ahead(14), [], typed=D(4), looked_for=SEASON)
    assert hold == Hold(D(0), "the due list takes 0 in the next 14 days; nothing else went yet")


def test_one_chance_for_all_and_each_by_its_price():
    rate = Rate(2, 4)  # of the year ahead: none .64, one at most .896, two at most .9728
    assert by_chance(MONTH, rate, 1, chance=0.9).quantity == 1 + 2
    assert by_chance(MONTH, rate, 1, chance=0.89).quantity == 1 + 1
    cheap = by_costs(MONTH, rate, 1, price=D(10), missed=D(190))  # worth 95 %
    dear = by_costs(MONTH, rate, 1, price=D(190), missed=D(190))  # worth 50 %
    assert (cheap.quantity, dear.quantity) == (3, 1)
    assert cheap.why == (
        "the due list takes 1 in the next 28 days; 2 more would be enough 97.3% of the time, "
        "95.0% wanted, at 10 apiece against 190 for a missed Saturday"
    )
    assert dear.why.startswith("the due list takes 1 in the next 28 days; none beside would be enough 64.0%")


def test_what_is_said_without_prices_is_the_chance_of_the_number_itself():
    """Or the chance that the costs ask for would tell the price: the number follows from it, not the
    other way."""
    rate = Rate(2, 4)
    one, other = (by_costs(MONTH, rate, 1, price=D(price), missed=D(190)) for price in (10, 12))
    assert one.said(prices=False) == other.said(prices=False)
    assert "97.3%" in one.said(prices=False)
    assert not any(figure in one.said(prices=False) for figure in ("95.0%", "190", "10 apiece"))


@pytest.mark.parametrize(
    ("quantity", "pack", "packs"), [("0", "5", 0), ("4.5", "1", 5), ("5.1", "5", 10), ("2", "0.5", 2)]
)
def test_packs_are_whole(quantity, pack, packs):
    assert in_packs(D(quantity), D(pack)) == packs


def test_a_pack_of_nothing_is_refused():
    with pytest.raises(ValueError, match="pack: found 0"):
        in_packs(D(1), D(0))
