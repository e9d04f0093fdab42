"""How many to order of what falls short: what is missing at least, in whole packs, and where the base
said what an order and a shelf cost, as many as are cheapest over the year. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from maintenance.ordering.holding import NONE, Hold, in_packs, plain
from maintenance.ordering.lots import Offer, cheapest
from maintenance.ordering.money import Asks

ONE, HUNDRED = Decimal(1), Decimal(100)


@dataclass(frozen=True, slots=True)
class Costs:
    """What the base says an order costs beside its parts, and a year on the shelf of a part's price
    (percent); both in its own currency."""

    order: Decimal
    percent: Decimal
    currency: str


def to_order(
    short: Decimal,
    pack: Decimal,
    *,
    yearly: Decimal = NONE,
    asks: Sequence[Asks] = (),
    costs: Costs | None = None,
) -> Hold:
    """The number to order, and why; nothing where nothing is missing."""
    missing = in_packs(short, pack)
    whole = f", so {plain(missing)}" if pack == ONE else f", in packs of {plain(pack)}"
    packed = whole if missing != short else ""
    least = Hold(missing, f"{plain(short)} missing{packed}" if short else "nothing is missing")
    lot = _cheapest(pack, yearly, asks, costs) if short else None
    if lot is None or lot <= missing:
        return least
    return Hold(lot, f"{plain(lot)} at a time cost the least over a year, {plain(yearly)} being used in one")


def _cheapest(pack: Decimal, yearly: Decimal, asks: Sequence[Asks], costs: Costs | None) -> Decimal | None:
    """The lot that costs the least a year, of those prices in the base's currency; None where the base
    has not said what it costs to order and to hold, or nothing was used."""
    if costs is None or costs.order <= NONE or costs.percent <= NONE or yearly <= NONE:
        return None
    if pack != pack.to_integral_value():
        return None
    offers = [
        Offer(float(one.each.amount), float(one.least))
        for one in asks
        if one.each.currency == costs.currency and one.each.amount > NONE
    ]
    if not offers:
        return None
    said = {"order": float(costs.order), "interest": float(costs.percent / HUNDRED)}
    lot, _ = cheapest(float(yearly), _at_the_least(offers), pack=int(pack), **said)
    return Decimal(str(lot.quantity))


def _at_the_least(offers: Sequence[Offer]) -> list[Offer]:
    """One price for each least number: the lowest; a larger one is worth nothing unless it is cheaper."""
    lowest: dict[float, float] = {}
    for offer in offers:
        lowest[offer.least] = min(offer.price, lowest.get(offer.least, offer.price))
    return [Offer(price, least) for least, price in sorted(lowest.items())]
