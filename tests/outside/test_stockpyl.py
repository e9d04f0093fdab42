"""Order quantities over any inputs, against stockpyl (Snyder and Shen's own programs; tests only)."""

from datetime import date
from decimal import Decimal
from math import ceil, floor

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from stockpyl.eoq import economic_order_quantity, economic_order_quantity_with_all_units_discounts
from stockpyl.eoq import economic_order_quantity_with_backorders as eoq_with_backorders
from stockpyl.newsvendor import newsvendor_poisson
from stockpyl.rq import r_q_poisson_exact

from maintenance.ordering.again import order_again
from maintenance.ordering.chances import Steady, left_over, missing, stock_for_costs
from maintenance.ordering.lots import Offer, cheapest, cost_a_year, economic, economic_if_late
from maintenance.ordering.money import Asks, Money
from maintenance.ordering.quantity import Costs, to_order

MONEY = st.floats(0.5, 500)
slow = settings(max_examples=60, deadline=None)


@given(MONEY, MONEY, st.floats(0.5, 5000), MONEY)
def test_the_economic_quantity(order, hold, yearly, late):
    lot = economic(yearly, order=order, hold=hold)
    assert lot == pytest.approx(economic_order_quantity(order, hold, yearly))
    lot, share = economic_if_late(yearly, order=order, hold=hold, late=late)
    quantity, part, cost = eoq_with_backorders(order, hold, late, yearly)
    assert (*lot, share) == pytest.approx((quantity, cost, part))


@given(MONEY, st.floats(0.05, 0.5), st.floats(50, 5000), st.floats(1, 50), st.integers(2, 400))
def test_price_breaks(order, interest, yearly, price, least):
    offers = [Offer(price), Offer(price * 0.96, least), Offer(price * 0.9, least * 4)]
    lot, offer = cheapest(yearly, offers, order=order, interest=interest)
    quantity, band, cost = economic_order_quantity_with_all_units_discounts(
        order, interest, yearly, [0, least, least * 4], [one.price for one in offers]
    )
    assert lot.cost == pytest.approx(cost)
    assert (lot.quantity, offer) == (pytest.approx(quantity), offers[band])


@given(MONEY, MONEY, st.floats(0.1, 60))
@slow
def test_one_day(over, under, mean):
    stock = stock_for_costs(Steady(mean), over=over, under=under)
    assume(abs(Steady(mean).within(stock) - under / (under + over)) > 1e-9)
    wanted, cost = newsvendor_poisson(over, under, mean)
    use = Steady(mean)
    assert over * left_over(use, stock) + under * missing(use, stock) == pytest.approx(cost, rel=1e-6)
    assert stock == wanted


@given(st.floats(1, 60), st.floats(10, 300), st.floats(2, 200), st.floats(0.5, 30), st.floats(0.1, 2))
@slow
def test_when_to_order_again(hold, late, order, yearly, years):
    again = order_again(Steady(yearly * years), yearly, order=order, hold=hold, late=late)
    at, quantity, cost = r_q_poisson_exact(hold, late, order, yearly, years)
    assert again.cost == pytest.approx(cost, rel=1e-6)
    assert (again.at, again.quantity) == (at, quantity)


LEAST = st.lists(st.integers(2, 400), min_size=1, max_size=3, unique=True).map(sorted)
CUTS = st.lists(st.integers(1, 40), min_size=3, max_size=3, unique=True).map(sorted)
DECIMALS = st.decimals("1", "300", places=1)


@given(st.decimals("0.5", "50", places=2), LEAST, CUTS, DECIMALS, st.decimals("5", "60", places=1), DECIMALS)
def test_what_is_ordered_of_what_falls_short_where_more_is_cheaper(each, leasts, cuts, order, percent, used):
    """Any discounts on all units: nothing is cheaper than the textbook's lot, and no whole number beside
    it is cheaper than what we order."""
    yearly, interest = used * 10, float(percent) / 100
    at = dict(zip([1, *leasts], [each, *(each * (100 - cut) / 100 for cut in cuts)], strict=False))
    asks = [Asks(date(2026, 5, 28), Decimal(n), Money(price, "EUR")) for n, price in at.items()]
    wanted, _, cost = economic_order_quantity_with_all_units_discounts(
        float(order), interest, float(yearly), [0, *leasts], [float(price) for price in at.values()]
    )

    def a_year(number: int) -> float:
        price = float([price for least, price in at.items() if least <= number][-1])
        return cost_a_year(number, float(yearly), order=float(order), interest=interest, price=price)

    said = {"yearly": yearly, "asks": asks, "costs": Costs(order, percent, "EUR")}
    ours = a_year(int(to_order(Decimal(1), Decimal(1), **said).quantity))
    assert ours >= cost * (1 - 1e-9)
    assert all(ours <= a_year(number) * (1 + 1e-9) for number in {floor(wanted), ceil(wanted)} - {0})
