"""What a stock of so many leaves short, against handbook values.

Palm's theorem and Sherbrooke's METRIC: values as in shared/CHECKS.md, section 4b (computed there,
the rows of the book recalled and found to match; formula read at neoprimate.github.io/IEOR).
scipy.stats is the other general reference, over inputs of any size.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from maintenance.ordering.chances import Rate, Steady, at_once, least_stock, left_over, missing
from maintenance.ordering.levels import Line, at_levels, best_levels, kit_waits_for, store_short, store_wait

SHORT = {
    1: (1, 0.3679, 0.1036, 0.0233, 0.0043),
    2: (2, 1.1353, 0.5413, 0.2180, 0.0751),
    4: (4, 3.0183, 2.1099, 1.3480, 0.7815, 0.4103, 0.1954),
    0.5: (0.5, 0.1065, 0.0163, 0.0019),
}
# The fewest that are enough with chance .80, .90, .95, .99, by the mean asked for.
FEWEST = {
    0.1: (0, 0, 1, 1),
    0.25: (1, 1, 1, 2),
    0.5: (1, 1, 2, 3),
    1: (2, 2, 3, 4),
    1.5: (2, 3, 4, 5),
    2: (3, 4, 5, 6),
    3: (4, 5, 6, 8),
    4: (6, 7, 8, 9),
    5: (7, 8, 9, 11),
    8: (10, 12, 13, 15),
    10: (13, 14, 15, 18),
}
# Three bases, four asked for a year at each, a tenth of a year at the depot, a fiftieth on the way.
THREE_BASES = Line(kits=3, rate=4, supplier=0.1, walk=0.02)


@pytest.mark.parametrize("mean", SHORT)
def test_what_is_missing_on_average(mean):
    for stock, short in enumerate(SHORT[mean]):
        assert missing(Steady(mean), stock) == pytest.approx(short, abs=5e-5)


@pytest.mark.parametrize("mean", FEWEST)
def test_the_fewest_that_are_enough(mean):
    assert tuple(least_stock(Steady(mean), chance) for chance in (0.8, 0.9, 0.95, 0.99)) == FEWEST[mean]


def test_how_much_is_given_at_once():
    by_stock = [at_once(Steady(1), stock) for stock in range(5)]
    assert by_stock == pytest.approx([0, 0.3679, 0.7358, 0.9197, 0.9810], abs=5e-5)
    assert at_once(Steady(4), 8) == pytest.approx(0.9489, abs=5e-5)


@pytest.mark.parametrize(
    ("store", "short", "wait", "waits_for", "each"),
    [
        (0, 1.2, 0.1, 0.48, 0.2964 / 3),
        (1, 0.5012, 0.041766, 0.2471, 0.0846 / 3),  # the handbook adds three numbers already rounded
        (2, 0.1638, 0.1638 / 12, 0.1346, 0.0261 / 3),
    ],
)
def test_a_store_behind_three_kits(store, short, wait, waits_for, each):
    assert store_short(THREE_BASES, store) == pytest.approx(short, abs=5e-5)
    assert store_wait(THREE_BASES, store) == pytest.approx(wait, abs=5e-6)
    assert kit_waits_for(THREE_BASES, store) == pytest.approx(waits_for, abs=5e-5)
    assert at_levels(THREE_BASES, store=store, kit=1).missing / 3 == pytest.approx(each, abs=5e-5)


def test_the_best_split_fills_the_store_before_every_kit_has_one():
    split = [best_levels(THREE_BASES, units) for units in range(8)]
    by_hand = [(0, 0), (1, 0), (2, 0), (3, 0), (1, 1), (2, 1), (3, 1), (1, 2)]  # each split tried
    assert [(at.store, at.kit) for at in split] == by_hand
    assert [at.missing for at in split] == sorted((at.missing for at in split), reverse=True)


@given(st.floats(0.01, 60), st.integers(0, 90))
def test_as_scipy_has_it_for_a_steady_rate(mean, stock):
    there = stats.poisson(mean)
    assert Steady(mean).within(stock) == pytest.approx(there.cdf(stock))
    asked = np.arange(400)
    short, over = (there.pmf(asked) @ np.maximum(away, 0) for away in (asked - stock, stock - asked))
    assert missing(Steady(mean), stock) == pytest.approx(short, abs=1e-9)
    assert left_over(Steady(mean), stock) == pytest.approx(over, abs=1e-9)


@given(st.floats(0.05, 40), st.floats(0.5, 500), st.floats(0, 200), st.integers(0, 60))
def test_as_scipy_has_it_for_a_rate_that_is_learned(shape, time, ahead, number):
    ours, there = Rate(shape, time).ahead(ahead), stats.nbinom(shape, time / (time + ahead))
    assert ours.within(number) == pytest.approx(there.cdf(number))
    assert ours.exactly(number) == pytest.approx(there.pmf(number), abs=1e-12)
    assert ours.mean == pytest.approx(there.mean())


@given(st.floats(0, 50), st.floats(0, 0.999))
def test_the_fewest_are_enough_and_one_fewer_is_not(mean, chance):
    stock = least_stock(Steady(mean), chance)
    assert Steady(mean).within(stock) >= chance
    assert stock == 0 or Steady(mean).within(stock - 1) < chance


@pytest.mark.parametrize("chance", [1, 1.2, -0.1])
def test_a_chance_that_no_stock_gives_is_refused(chance):
    with pytest.raises(ValueError, match="chance: found"):
        least_stock(Steady(1), chance)
