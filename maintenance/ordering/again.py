"""When to order again and how many, where both an order and a missing part have a price. Pure."""

from itertools import count
from typing import NamedTuple

from maintenance.ordering.chances import Use, left_over, missing, stock_for_costs


class Again(NamedTuple):
    """Order so many when no more than `at` are left or on order; what that costs a year."""

    at: int
    quantity: int
    cost: float


def order_again(use: Use, yearly: float, *, order: float, hold: float, late: float) -> Again:
    """The cheapest (r, Q) for what may be used while an order is on its way.

    Federgruen and Zheng, Operations Research 40 (1992): the levels stocked are added one by one,
    the cheaper neighbour first, as long as it costs less than the average so far. `hold` and `late`
    are of one unit a year, `order` of one order, `yearly` how many are used a year.
    """
    best = stock_for_costs(use, over=hold, under=late)

    def rate(level: int) -> float:
        """What it costs a year to begin a lead time with so many here and on order."""
        if level < 0:
            return late * (use.mean - level)
        return hold * left_over(use, level) + late * missing(use, level)

    total, quantity, low, high = order * yearly + rate(best), 1, best - 1, best + 1
    for _ in count():
        below, above = rate(low), rate(high)
        if min(below, above) >= total / quantity:
            break
        total, quantity = total + min(below, above), quantity + 1
        low, high = (low - 1, high) if below <= above else (low, high + 1)
    return Again(low, quantity, total / quantity)
