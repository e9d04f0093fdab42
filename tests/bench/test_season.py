"""Which rule for holding spares runs out less for the same money (`-m tests.bench.season` prints it)."""

import pytest

from tests.bench.season import CLASS, compared, shared, world

WORLDS = 8


@pytest.fixture(scope="module")
def worlds():
    return [world(number) for number in range(WORLDS)]


@pytest.mark.parametrize("often", [True, False], ids=["often", "seldom"])
@pytest.mark.long
def test_each_by_its_price_is_missing_less_than_the_plain_rule_for_no_more_money(benchmark, worlds, often):
    found = benchmark.pedantic(compared, (often, worlds), rounds=1, iterations=1)
    thumb, plain, _, by_price = found.values()
    assert thumb.asked == plain.asked == by_price.asked > 1000
    assert by_price.missing < plain.missing < thumb.missing
    assert by_price.money <= plain.money < thumb.money


@pytest.mark.long
def test_shared_anew_fewer_parts_of_a_class_are_missing_at_sea_for_the_same_money(benchmark):
    worlds = [world(number, CLASS) for number in range(WORLDS)]
    found = benchmark.pedantic(shared, (True, worlds), rounds=1, iterations=1)
    plain, anew = found.values()
    assert plain.asked == anew.asked > 500
    assert anew.at_sea < 0.85 * plain.at_sea
    assert anew.missing - plain.missing < 0.1 * (plain.at_sea - anew.at_sea)
    assert anew.money < 1.01 * plain.money
