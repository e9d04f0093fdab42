"""What a fleet's use of its spares teaches of each one: a gamma prior fitted over all of them. Pure."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from scipy.optimize import minimize
from scipy.special import gammaln

from maintenance.ordering.chances import Rate

# Where too little was ever recorded to fit anything: Jeffreys' prior for a Poisson rate, half a use
# in next to no time, which leaves the word to what is seen.
FEWEST: Final = 5  # spares with time looked at
NOTHING_KNOWN: Final = Rate(0.5, 1e-6)
MOST_SHAPE: Final = 1e4  # spares that are all alike fit any larger shape as well
Seen = tuple[float, float]  # how many were used, in how much time


def prior_over(seen: Sequence[Seen]) -> Rate:
    """The gamma that makes what was seen of all spares likeliest (the maximum of the negative
    binomial likelihood, each spare with a rate of its own from it)."""
    looked = [(used, time) for used, time in seen if time > 0]
    if len(looked) < FEWEST or not any(used for used, _ in looked):
        return NOTHING_KNOWN
    used, time = np.array(looked, dtype=float).T

    def unlikely(at: np.ndarray) -> float:
        shape, span = np.exp(at)
        ways = gammaln(shape + used) - gammaln(shape)
        return -float(np.sum(ways + shape * np.log(span / (span + time)) + used * np.log(1 / (span + time))))

    mean = used.sum() / time.sum()
    begun = np.log([1.0, 1.0 / mean])
    bounds = [(np.log(1e-3), np.log(MOST_SHAPE)), (np.log(1e-3 / mean), np.log(MOST_SHAPE / mean))]
    shape, span = np.exp(minimize(unlikely, begun, bounds=bounds, method="L-BFGS-B").x)
    return Rate(float(shape), float(span))
