"""What a part costs on a day, and how sums of money are written."""

from datetime import date
from decimal import Decimal

import pytest

from maintenance.ordering.money import Asks, Cost, Money, cost_of, offers, price_of

D = Decimal
MARCH, MAY, TODAY = date(2026, 3, 1), date(2026, 5, 1), date(2026, 5, 28)


def asks(each: str, *, least: int = 1, on: date = MARCH, of: str = "Quay", currency: str = "EUR") -> Asks:
    return Asks(on, D(least), Money(D(each), currency), of)


def price(*known: Asks, on: date = TODAY, quantity: int = 1, of: str | None = None) -> str | None:
    found = price_of(known, on=on, quantity=D(quantity), supplier=of)
    return None if found is None else str(found)


def test_the_latest_price_holds_and_the_days_before_it_keep_theirs():
    known = asks("10"), asks("12", on=MAY)
    assert price(*known) == "12.00 EUR"
    assert price(*known, on=date(2026, 4, 30)) == "10.00 EUR"
    assert price(*known, on=date(2026, 2, 28)) is None


def test_who_buys_enough_pays_the_lower_price_and_who_buys_too_few_the_price_of_the_fewest():
    breaks = asks("0.75", least=2), asks("0.72", least=400), asks("0.68", least=800)
    found = [price(*breaks, quantity=number) for number in (1, 2, 399, 400, 799, 800)]
    assert found == ["0.75 EUR"] * 3 + ["0.72 EUR"] * 2 + ["0.68 EUR"]


def test_of_two_suppliers_the_cheaper_one_counts_unless_one_is_named():
    known = asks("10", of="Quay"), asks("9", of="Mole")
    assert price(*known) == "9.00 EUR"
    assert price(*known, of="Quay") == "10.00 EUR"
    assert price(*known, of="Pier") is None
    assert [one.supplier for one in offers(known, on=TODAY)] == ["Mole", "Quay"]


def test_no_currency_is_taken_for_less_than_another():
    """Five of one money may be more than nine of another: what was said last counts."""
    assert price(asks("5", currency="HRK"), asks("9", on=MAY, of="Mole")) == "9.00 EUR"


@pytest.mark.parametrize(
    ("amount", "written"),
    [("1234567.5", "1 234 567.50 EUR"), ("0.005", "0.01 EUR"), ("0.0049", "0.00 EUR"), ("12", "12.00 EUR")],
)
def test_money_is_written_with_its_cents_and_its_currency(amount, written):
    assert str(Money(D(amount), "EUR")) == written


@pytest.mark.parametrize(
    ("parts", "written"),
    [
        ([], "nothing"),
        ([(D(2), Money(D("1.25"), "EUR"))], "2.50 EUR"),
        ([(D(2), Money(D("1.25"), "USD")), (D(1), Money(D(3), "EUR"))], "3.00 EUR + 2.50 USD"),
        ([(D(2), None)], "1 part without a price"),
        ([(D(2), None), (D(9), None), (D(1), Money(D(3), "EUR"))], "3.00 EUR, and 2 parts without a price"),
    ],
)
def test_what_something_cost_in_words(parts, written):
    assert str(cost_of(parts)) == written


def test_a_part_without_a_price_is_not_one_that_costs_nothing():
    assert cost_of([(D(1), None)]) == Cost((), 1)
    assert cost_of([(D(1), Money(D(0), "EUR"))]) == Cost((Money(D(0), "EUR"),), 0)
