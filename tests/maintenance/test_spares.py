"""Spares used, counted, and how many should lie where."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from fleet.ledger import take_back
from maintenance.spares.actions import (
    SpareUsed,
    StockFollows,
    count_stock,
    set_allowance,
    use_spare,
    what_follows,
)
from maintenance.spares.facts import allowances, hands, negative_hands
from maintenance.spares.models import StockMove
from tests.cast import TODAY


@pytest.fixture
def stock(cast):
    """On hand of a spare at a place."""
    return lambda spare, place: hands().get((cast.spare[spare].pk, cast.place[place].pk), Decimal(0))


@pytest.fixture
def use(cast, now):
    def use(spare: str, place: str, quantity: str) -> StockMove:
        return use_spare(cast.spare[spare], cast.place[place], quantity=Decimal(quantity), day=TODAY, at=now)

    return use


@pytest.fixture
def count(cast, now):
    def count(spare: str, place: str, counted: str) -> StockMove | None:
        return count_stock(cast.spare[spare], cast.place[place], counted=Decimal(counted), day=TODAY, at=now)

    return count


def to_count(cast) -> list[tuple[str, str, Decimal]]:
    found = negative_hands(cast.base.pk, [boat.pk for boat in cast.boat.values()])
    return [(c.spare.code, str(c.place), c.on_hand) for c in found]


def test_what_is_used_leaves_where_it_lay(stock, use):
    use("oil", "store", "4.5")
    assert stock("oil", "store") == Decimal("15.5")


def test_what_the_book_does_not_have_goes_below_zero_and_is_a_count_to_make(cast, stock, use):
    use("oil", "blank page locker", "4.5")
    assert stock("oil", "blank page locker") == Decimal("-4.5")
    assert to_count(cast) == [("oil", "Blank Page locker", Decimal("-4.5"))]


def test_a_count_settles_it(cast, stock, use, count):
    use("oil", "blank page locker", "4.5")
    move = count("oil", "blank page locker", "2")
    assert (move.why, move.quantity, move.to_place) == (
        "counted",
        Decimal("6.5"),
        cast.place["blank page locker"],
    )
    assert stock("oil", "blank page locker") == 2
    assert to_count(cast) == []


def test_a_count_of_less_takes_the_difference_out_and_one_that_agrees_moves_nothing(cast, stock, count):
    assert count("oil", "store", "18").from_place == cast.place["store"]
    assert stock("oil", "store") == 18
    assert count("oil", "store", "18") is None
    assert count("oil", "far store", "0") is None


def test_a_count_of_none_is_a_count(cast, stock, count):
    count("gas bottle", "store", "0")
    assert stock("gas bottle", "store") == 0
    assert to_count(cast) == []


def test_another_bases_store_is_not_for_us_to_count(cast, use):
    use("oil", "far store", "1")
    assert negative_hands(cast.base.pk, [cast.boat["sandpiper"].pk]) == []


def test_a_use_taken_back_puts_it_where_it_lay(stock, use, now):
    take_back(use("oil", "store", "4.5"), at=now)
    assert stock("oil", "store") == 20


@pytest.mark.parametrize("quantity", ["0", "-1"])
def test_nothing_and_less_is_not_used(use, quantity):
    with pytest.raises(ValidationError):
        use("oil", "store", quantity)


def test_what_follows_speaks_of_what_was_used_only(cast, use):
    use("oil", "blank page locker", "4.5")
    used = [SpareUsed(cast.spare["gas bottle"], cast.place["store"], Decimal(0))]
    assert what_follows(used, on=TODAY) == StockFollows()
    assert what_follows([], on=TODAY) == StockFollows()


def test_the_latest_allowance_in_force_is_what_should_lie_there(cast):
    spare, place = cast.spare["gas bottle"], cast.place["store"]
    set_allowance(spare, place, quantity=Decimal(5), from_on=date(2026, 5, 1))
    set_allowance(spare, place, quantity=Decimal(9), from_on=date(2026, 7, 1))
    key = (spare.pk, place.pk)
    assert [allowances(on=date(2026, month, 2))[key] for month in (4, 5, 7)] == [3, 5, 9]
    set_allowance(spare, place, quantity=None, from_on=TODAY)
    assert key not in allowances(on=date(2026, 8, 1))
