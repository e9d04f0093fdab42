"""How many of a spare to hold, each number with the sentence that says why. Pure.

The plain rule: what the due list takes until an order made at the next review could be here, and
besides that the most that was ever used beyond plan in so long a time, in whole packs; the base's
own word until a season was looked at. Beside it stand two by chance, their rate learned: the same
chance for every spare, or each the chance that its price is worth. `tests/bench/season.py` tells which
of them runs out less for the same money.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from typing import Final, NamedTuple

from maintenance.ordering.chances import Learned, Rate, least_stock, stock_for_costs

NONE = Decimal(0)
MOST_SAID: Final = 0.999
SEASON: Final = 182  # days, a half year of charters: no source


class Taken(NamedTuple):
    """So much used beyond plan on a day, counted from any day; a day may stand more than once."""

    day: int
    quantity: Decimal


@dataclass(frozen=True, slots=True)
class Ahead:
    """What is known of a spare when somebody asks how many to hold: the days an order takes and those
    until the next look, what the due list takes in these days, and in how many a packet comes."""

    days: int
    planned: Decimal = NONE
    pack: Decimal = Decimal(1)


@dataclass(frozen=True, slots=True)
class Hold:
    """How many to hold, and why; `unpriced` is the same sentence for who may not see what parts cost,
    where it is another."""

    quantity: Decimal
    why: str
    unpriced: str = ""

    def said(self, *, prices: bool) -> str:
        """The sentence for who may see prices, or may not."""
        return self.why if prices or not self.unpriced else self.unpriced


def most_in(days: int, taken: Sequence[Taken]) -> Decimal:
    """The most that was taken in any so many days on end, the first and the last counted."""
    most, sum_now, first, rows = NONE, NONE, 0, sorted(taken)
    for day, quantity in rows:
        sum_now += quantity
        while rows[first].day <= day - days:
            sum_now -= rows[first].quantity
            first += 1
        most = max(most, sum_now)
    return most


def by_plain_rule(
    ahead: Ahead, taken: Sequence[Taken], *, typed: Decimal | None = None, looked_for: int = 0
) -> Hold:
    """The plain rule. `looked_for`: days for which use was recorded. Until a season was looked at the
    number the base typed stands, if it typed one and no more is needed already."""
    beyond = most_in(ahead.days, taken)
    needed = ahead.planned + beyond
    if looked_for < SEASON and typed is not None and typed >= needed:
        why = "the base's own number, until a season of use is recorded"
        return Hold(in_packs(typed, ahead.pack), why + _packed(ahead, typed))
    went = "nothing else went yet" if not beyond else f"{plain(beyond)} more went in so many days, at most"
    return Hold(in_packs(needed, ahead.pack), f"{_planned(ahead)}; {went}" + _packed(ahead, needed))


def by_chance(ahead: Ahead, rate: Rate, time: float, *, chance: float) -> Hold:
    """Enough with this chance: what the due list takes, and what may be used beyond it in so much
    time ahead (in the rate's unit), its rate being learned."""
    use = rate.ahead(time)
    return _and_beyond(ahead, least_stock(use, chance), use, f"{chance:.1%} wanted")


def by_costs(ahead: Ahead, rate: Rate, time: float, *, price: Decimal, missed: Decimal) -> Hold:
    """Enough with the chance at which one more on the shelf costs as much as it saves: `price` is
    what one costs, `missed` what a Saturday without it does, in the same money."""
    chance, use = float(missed / (missed + price)), rate.ahead(time)
    beyond = stock_for_costs(use, over=float(price), under=float(missed))
    wanted = f"{chance:.1%} wanted, at {plain(price)} apiece against {plain(missed)} for a missed Saturday"
    return _and_beyond(ahead, beyond, use, wanted)


def _and_beyond(ahead: Ahead, beyond: int, use: Learned, by: str) -> Hold:
    """The chance told to everybody is that of so many being enough, which tells nothing of the price."""
    needed = ahead.planned + beyond
    more = f"{beyond} more" if beyond else "none beside"
    enough = f"{_planned(ahead)}; {more} would be enough {_percent(use.within(beyond))} of the time"
    packed = _packed(ahead, needed)
    return Hold(in_packs(needed, ahead.pack), f"{enough}, {by}{packed}", f"{enough}{packed}")


def _percent(chance: float) -> str:
    return "more than 99.9%" if chance > MOST_SAID else f"{chance:.1%}"


def in_packs(quantity: Decimal, pack: Decimal) -> Decimal:
    """The least number of whole packs that is as much; ValueError for a pack of nothing."""
    if pack <= 0:
        raise ValueError(f"pack: found {pack}, wanted more than 0")
    return (quantity / pack).to_integral_value(ROUND_CEILING) * pack


def plain(quantity: Decimal) -> str:
    """As people write it: 2, 4.5."""
    return f"{quantity.normalize():f}"


def _planned(ahead: Ahead) -> str:
    return f"the due list takes {plain(ahead.planned)} in the next {ahead.days} days"


def _packed(ahead: Ahead, needed: Decimal) -> str:
    return "" if needed == in_packs(needed, ahead.pack) else f", in packs of {plain(ahead.pack)}"
