"""How many to order at a time: what an order costs against what it costs to hold them. Pure.

Money is in one currency, time in years. The formulas are the textbook's (Harris 1913; Snyder and
Shen, Fundamentals of Supply Chain Theory, chapter 3); packs and price breaks are tried one by one.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, sqrt
from typing import NamedTuple


class Lot(NamedTuple):
    """So many at a time, and what that costs a year."""

    quantity: float
    cost: float


@dataclass(frozen=True, slots=True)
class Offer:
    """A price of one, for those who order at least so many."""

    price: float
    least: float = 0


def economic(yearly: float, *, order: float, hold: float) -> Lot:
    """The quantity whose orders and holding cost the least: sqrt(2KD/h). `order` is what one order
    costs, `hold` one unit held for a year. ValueError where any is not above 0."""
    _refuse_nothing(yearly=yearly, order=order, hold=hold)
    return Lot(sqrt(2 * order * yearly / hold), sqrt(2 * order * yearly * hold))


def economic_if_late(yearly: float, *, order: float, hold: float, late: float) -> tuple[Lot, float]:
    """The same where a unit may be handed out late for a price a year, and the part that then is."""
    _refuse_nothing(yearly=yearly, order=order, hold=hold, late=late)
    share = hold / (hold + late)
    quantity = sqrt(2 * order * yearly / (hold * (1 - share)))
    return Lot(quantity, sqrt(2 * order * yearly * hold * (1 - share))), share


def cost_a_year(quantity: float, yearly: float, *, order: float, interest: float, price: float) -> float:
    """What buying, ordering and holding cost a year, ordering so many at a time."""
    return price * yearly + order * yearly / quantity + interest * price * quantity / 2


def cheapest(
    yearly: float, offers: Sequence[Offer], *, order: float, interest: float, pack: int | None = None
) -> tuple[Lot, Offer]:
    """The lot that costs the least a year over all offers, in whole packs where there are any.
    `interest` is what a year of holding costs of the price. ValueError without an offer."""
    _refuse_nothing(yearly=yearly, order=order, interest=interest)
    if not offers:
        raise ValueError("offers: wanted at least one")
    tried = [
        (Lot(q, cost_a_year(q, yearly, order=order, interest=interest, price=offer.price)), offer)
        for offer, most in _bands(offers)
        for q in _tries(
            economic(yearly, order=order, hold=interest * offer.price).quantity, offer, most, pack
        )
    ]
    return min(tried, key=lambda one: one[0].cost)


def _bands(offers: Sequence[Offer]) -> list[tuple[Offer, float]]:
    rising = sorted(offers, key=lambda offer: offer.least)
    ends = [offer.least for offer in rising[1:]] + [float("inf")]
    return [(offer, end) for offer, end in zip(rising, ends, strict=True) if offer.least < end]


def _tries(wanted: float, offer: Offer, most: float, pack: int | None) -> list[float]:
    """The quantities of a band worth a look: its best, or the whole packs around it."""
    inside = max(wanted, offer.least)
    if pack is None:
        return [inside] if inside < most else []
    around = {max(1, floor(inside / pack)), ceil(inside / pack), max(1, ceil(offer.least / pack))}
    return [n * pack for n in around if offer.least <= n * pack < most]


def _refuse_nothing(**given: float) -> None:
    for name, value in given.items():
        if not value > 0:
            raise ValueError(f"{name}: found {value}, wanted more than 0")
