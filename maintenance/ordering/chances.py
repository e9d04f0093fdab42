"""How much may be used of a spare in a time ahead, and what a stock of so many leaves short. Pure.

Quantities are whole units. What is used beyond plan comes by chance: as often as its rate says
(Poisson), or, where the rate is only learned from what was used so far, as the negative binomial
distribution has it (a Poisson whose rate is a gamma's). The distributions are scipy's.
"""

from dataclasses import dataclass
from itertools import count
from math import exp
from typing import Final, Protocol

from scipy.special import betainc, gammaincinv, gammaln, pdtr, xlogy

MOST: Final = 100_000  # units: more than any base holds of anything


class Use(Protocol):
    """What may be used in a time: its mean, and the chance that it is so many at most."""

    @property
    def mean(self) -> float: ...

    def within(self, most: int) -> float: ...


@dataclass(frozen=True, slots=True)
class Steady:
    """So many on average, at a rate that is known: Poisson."""

    mean: float

    def within(self, most: int) -> float:
        """The chance that no more than so many are used."""
        return float(pdtr(most, self.mean)) if most >= 0 else 0.0


@dataclass(frozen=True, slots=True)
class Rate:
    """What is known of a rate: gamma with this shape, over so much time looked at (boat-days, hours).

    A prior's shape and time are what a spell of that length with that many uses would have taught.
    """

    shape: float
    time: float

    @property
    def mean(self) -> float:
        """Uses in one unit of time."""
        return self.shape / self.time

    def after(self, used: float, time: float) -> "Rate":
        """The rate once so many were used in so much more time (NIST/SEMATECH e-Handbook of
        Statistical Methods, 8.4.6: a' = a + r, b' = b + T)."""
        return Rate(self.shape + used, self.time + time)

    def least(self, chance: float) -> float:
        """The rate that the true one is below with this chance."""
        return float(gammaincinv(self.shape, chance)) / self.time

    def ahead(self, time: float) -> "Learned":
        """What may be used in a time ahead."""
        return Learned(self, time)


@dataclass(frozen=True, slots=True)
class Learned:
    """What may be used in a time ahead, by a rate that is learned: negative binomial."""

    rate: Rate
    time: float

    @property
    def mean(self) -> float:
        return self.rate.mean * self.time

    def exactly(self, number: int) -> float:
        """The chance of just so many: Γ(a+k)/(Γ(a) k!) (b/(b+t))^a (t/(b+t))^k."""
        a, b, t = self.rate.shape, self.rate.time, self.time
        ways = gammaln(a + number) - gammaln(a) - gammaln(number + 1)
        return float(exp(ways + xlogy(a, b / (b + t)) + xlogy(number, t / (b + t))))

    def within(self, most: int) -> float:
        """The chance that no more than so many are used."""
        if most < 0:
            return 0.0
        return float(betainc(self.rate.shape, most + 1, self.rate.time / (self.rate.time + self.time)))


def least_stock(use: Use, chance: float) -> int:
    """The fewest that are enough with this chance; ValueError for a chance that no stock gives."""
    if not 0 <= chance < 1:
        raise ValueError(f"chance: found {chance}, wanted 0 up to, not including, 1")
    return next(stock for stock in count() if use.within(stock) >= chance or stock == MOST)


def stock_for_costs(use: Use, *, over: float, under: float) -> int:
    """The fewest whose cost of being left over and of being missed is the least on average: the
    chance of having enough is then at least under / (under + over)."""
    return least_stock(use, under / (under + over))


def missing(use: Use, stock: int) -> float:
    """How many are missing on average: E(X - s)+, Palm's expected backorders for a base stock."""
    return use.mean - sum(1 - use.within(number) for number in range(stock))


def left_over(use: Use, stock: int) -> float:
    """How many are left on average: E(s - X)+."""
    return stock - use.mean + missing(use, stock)


def at_once(use: Use, stock: int) -> float:
    """The part of what is asked for that is given at once: P(X <= s - 1)."""
    return use.within(stock - 1)
