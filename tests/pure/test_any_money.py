"""Sums of money in any order, and the price of a day."""

from datetime import date, timedelta
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from maintenance.ordering.money import Asks, Money, added, cost_of, offers, price_of

AMOUNT = st.decimals("0", "9999", places=4)
CURRENCY = st.sampled_from(["EUR", "HRK", "USD"])
MONEY = st.builds(Money, AMOUNT, CURRENCY)
DAY = st.dates(date(2026, 1, 1), date(2026, 2, 10))
ASKS = st.builds(
    Asks, DAY, st.sampled_from([Decimal(n) for n in (1, 5, 12)]), MONEY, st.sampled_from(["", "Quay", "Mole"])
)
EUR = st.builds(Asks, DAY, st.integers(1, 20).map(Decimal), st.builds(Money, AMOUNT, st.just("EUR")))
PARTS = st.lists(st.tuples(st.decimals("0.001", "50", places=3), MONEY | st.none()), max_size=12)


@given(st.lists(MONEY, max_size=30), st.randoms())
def test_a_sum_is_the_same_in_any_order_and_of_any_halves(parts, chance):
    mixed = list(parts)
    chance.shuffle(mixed)
    assert added(mixed) == added(parts)
    half = len(parts) // 2
    assert added([*added(parts[:half]), *added(parts[half:])]) == added(parts)


@given(st.lists(MONEY, max_size=30))
def test_nothing_is_lost_in_it_and_no_currency_becomes_another(parts):
    sums = {money.currency: money.amount for money in added(parts)}
    for currency in ("EUR", "HRK", "USD"):
        in_cents = sum(int(one.amount * 10_000) for one in parts if one.currency == currency)
        assert sums.get(currency, Decimal(0)) * 10_000 == in_cents
    assert list(sums) == sorted(sums)


@given(PARTS, st.randoms())
def test_a_cost_is_the_same_in_any_order_and_counts_what_has_no_price(parts, chance):
    mixed = list(parts)
    chance.shuffle(mixed)
    assert cost_of(mixed) == cost_of(parts)
    assert cost_of(parts).unknown == sum(1 for _, each in parts if each is None)


@given(st.lists(ASKS, max_size=10), DAY, st.integers(1, 20).map(Decimal))
def test_what_is_said_of_later_days_changes_no_earlier_price(asks, on, quantity):
    known = [one for one in asks if one.from_on <= on]
    assert price_of(asks, on=on, quantity=quantity) == price_of(known, on=on, quantity=quantity)


@given(st.lists(ASKS, max_size=10), DAY)
def test_between_two_days_on_which_nobody_said_anything_the_price_stays(asks, on):
    said = {one.from_on for one in asks}
    if on + timedelta(1) not in said:
        assert price_of(asks, on=on) == price_of(asks, on=on + timedelta(1))


@given(st.lists(EUR, min_size=1, max_size=8), DAY, st.integers(1, 20).map(Decimal), st.integers(0, 9))
def test_who_buys_more_pays_no_more_apiece(asks, on, quantity, more):
    """Once so many are bought as anybody sells at a time."""
    known = offers(asks, on=on)
    few, many = (price_of(asks, on=on, quantity=number) for number in (quantity, quantity + more))
    assert (few is None) == (many is None) == (not known)
    if known and min(one.least for one in known) <= quantity:
        assert many.amount <= few.amount


@given(st.lists(ASKS, max_size=10), DAY)
def test_once_a_price_is_known_it_is_known_on_every_later_day(asks, on):
    if price_of(asks, on=on) is not None:
        assert price_of(asks, on=on + timedelta(400)) is not None
