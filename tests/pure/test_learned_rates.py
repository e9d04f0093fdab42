"""What use teaches of a rate, against NIST's example and the published predictive distribution."""

import numpy as np
import pytest

from maintenance.ordering.chances import Rate
from maintenance.ordering.learning import NOTHING_KNOWN, prior_over


def test_the_gamma_after_a_test():
    """NIST/SEMATECH e-Handbook 8.4.6: prior a = 2.863, b = 1522.46 (from an MTBF of 600 h with chance
    50 %, 250 h with 95 %), then 2 failures in 1772 h; answers as in shared/CHECKS.md, section 3."""
    after = Rate(2.8631, 1522.5).after(2, 1772)
    assert (after.shape, after.time) == pytest.approx((4.8631, 3294.5), abs=5e-5)
    assert 1 / after.least(0.5) == pytest.approx(726.6, abs=0.05)
    assert 1 / after.least(0.8) == pytest.approx(502.4, abs=0.05)
    assert 1 / after.mean == pytest.approx(677.5, abs=0.06)


def test_the_prior_says_what_it_was_made_of():
    """The same prior's two quantiles: MTBF50 600 h, MTBF05 250 h (8.4.6)."""
    prior = Rate(2.8631, 1522.5)
    assert 1 / prior.least(0.5) == pytest.approx(600, rel=1e-3)
    assert 1 / prior.least(0.95) == pytest.approx(250, rel=1e-3)


def test_jeffreys_prior():
    """2 in 1000 h: rate .0025, 90 % between .000573 and .005535 (shared/CHECKS.md, section 3)."""
    after = Rate(0.5, 0).after(2, 1000)
    assert after.mean == 0.0025
    assert (after.least(0.05), after.least(0.95)) == pytest.approx((0.000573, 0.005535), abs=5e-7)


def test_what_comes_next_is_negative_binomial():
    """a = 2 in 4 years, the year ahead (shared/CHECKS.md, section 3)."""
    year = Rate(2, 4).ahead(1)
    assert [year.exactly(number) for number in range(5)] == pytest.approx(
        [0.64, 0.256, 0.0768, 0.0205, 0.0051], abs=5e-5
    )
    assert year.within(-1) == 0
    assert Rate(2, 4).ahead(0).exactly(0) == 1


@pytest.mark.parametrize(("shape", "time"), [(0.4, 50.0), (1.0, 200.0), (5.0, 1000.0)])
def test_the_prior_is_found_again_from_what_it_made(shape, time):
    chance = np.random.default_rng(7)
    looked = chance.uniform(20, 60, 4000) * time / shape
    seen = list(zip(chance.poisson(chance.gamma(shape, 1 / time, 4000) * looked), looked, strict=True))
    found = prior_over(seen)
    assert found.shape == pytest.approx(shape, rel=0.1)
    assert found.time == pytest.approx(time, rel=0.1)


def test_spares_that_are_all_alike_teach_much_and_one_of_them_little_more():
    found = prior_over([(10.0, 100.0)] * 50)
    assert found.mean == pytest.approx(0.1, rel=1e-3)
    assert found.shape > 100
    assert found.after(20, 100).mean < 0.11


@pytest.mark.parametrize(
    "seen", [[], [(3.0, 10.0)] * 4, [(0.0, 10.0)] * 40, [(0.0, 0.0)] * 40, [(1.0, 0.0)] * 9]
)
def test_where_too_little_was_seen_nothing_is_known(seen):
    assert prior_over(seen) == NOTHING_KNOWN
