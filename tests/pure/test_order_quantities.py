"""How many to order at a time, and when again, against a textbook's worked examples.

Snyder and Shen, Fundamentals of Supply Chain Theory (2nd edition), as published with stockpyl 1.0.2;
inputs and answers as in shared/CHECKS.md, section 4a. The number of each example stands beside it.
"""

import pytest

from maintenance.ordering.again import order_again
from maintenance.ordering.chances import Steady, left_over, missing, stock_for_costs
from maintenance.ordering.lots import Offer, cheapest, cost_a_year, economic, economic_if_late

BREAKS = [Offer(0.75), Offer(0.72, 400), Offer(0.68, 800)]


@pytest.mark.parametrize(
    ("yearly", "order", "hold", "quantity", "cost"),
    [
        (1300, 8, 0.225, 304.0468, 68.4105),  # example 3.1
        (182_500, 2250, 275, 1728.1098, 475_230.2074),  # problem 3.1
    ],
)
def test_the_economic_quantity(yearly, order, hold, quantity, cost):
    lot = economic(yearly, order=order, hold=hold)
    assert lot.quantity == pytest.approx(quantity, abs=5e-5)
    assert lot.cost == pytest.approx(cost, abs=5e-5)


def test_the_economic_quantity_where_some_may_come_late():
    lot, share = economic_if_late(1300, order=8, hold=0.225, late=5)  # example 3.8
    assert lot.quantity == pytest.approx(310.8126, abs=5e-5)
    assert share == pytest.approx(0.043062, abs=5e-7)
    assert lot.cost == pytest.approx(66.9214, abs=5e-5)


def test_a_price_break_is_taken_where_it_is_worth_it():
    lot, offer = cheapest(1300, BREAKS, order=8, interest=0.3)  # example 3.5
    assert (lot.quantity, offer) == (800, BREAKS[2])
    assert lot.cost == pytest.approx(978.60, abs=5e-3)


@pytest.mark.parametrize(
    ("use", "yearly", "order", "hold", "late", "at", "quantity", "cost"),
    [
        (3, 1.5, 100, 20, 150, 3, 5, 107.92358),  # example 5.8: 1.5 a year, two years on the way
        (6, 12, 4, 4, 28, 6, 7, 28.24131),  # problem 5.2: 12 a year, half a year on the way
    ],
)
def test_when_to_order_again_and_how_many(use, yearly, order, hold, late, at, quantity, cost):
    again = order_again(Steady(use), yearly, order=order, hold=hold, late=late)
    assert (again.at, again.quantity) == (at, quantity)
    assert again.cost == pytest.approx(cost, abs=5e-6)


def test_a_paper_sold_on_one_day():
    use, over, under = Steady(18), 200, 270  # problem 4.8a
    stock = stock_for_costs(use, over=over, under=under)
    assert stock == 19
    cost = over * left_over(use, stock) + under * missing(use, stock)
    assert cost == pytest.approx(786.0884, abs=5e-5)


@pytest.mark.parametrize("pack", [1, 2, 6, 25, 500])
@pytest.mark.parametrize("offers", [[Offer(4.0)], BREAKS, [Offer(9, 1), Offer(8.5, 12), Offer(7, 100)]])
def test_whole_packs_cost_no_more_than_any_other_number_of_packs(pack, offers):
    lot, offer = cheapest(130, offers, order=8, interest=0.3, pack=pack)
    assert lot.quantity % pack == 0
    assert offer.least <= lot.quantity
    rising = sorted(offers, key=lambda one: one.least)
    for packs in range(1, 400):
        price = [one.price for one in rising if one.least <= packs * pack][-1:]
        if price:
            other = cost_a_year(packs * pack, 130, order=8, interest=0.3, price=price[0])
            assert lot.cost <= other + 1e-9


@pytest.mark.parametrize("wrong", ["yearly", "order", "hold"])
@pytest.mark.parametrize("value", [0, -1, float("nan")])
def test_nothing_is_refused_by_name(wrong, value):
    given = {"yearly": 10.0, "order": 8.0, "hold": 0.3} | {wrong: value}
    with pytest.raises(ValueError, match=f"{wrong}: .*wanted more than 0"):
        economic(given.pop("yearly"), **given)


def test_no_offer_is_refused():
    with pytest.raises(ValueError, match="offers: wanted at least one"):
        cheapest(10, [], order=8, interest=0.3)
