"""Which rule for holding spares runs out less for the same money (`-m tests.bench.season` prints it)."""

import pytest

from tests.bench.season import compared, world

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
