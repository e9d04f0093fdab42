"""What parts cost on a day, and sums of it, currency by currency: nothing is ever converted. Pure."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal
from typing import Final

CENT: Final = Decimal("0.01")


@dataclass(frozen=True, slots=True)
class Money:
    """So much in a currency."""

    amount: Decimal
    currency: str

    def __str__(self) -> str:
        return f"{self.amount.quantize(CENT, ROUND_HALF_UP):,} {self.currency}".replace(",", " ")


@dataclass(frozen=True, slots=True)
class Asks:
    """What a supplier asks for one from a day on, of who buys at least so many."""

    from_on: date
    least: Decimal
    each: Money
    supplier: str = ""


def offers(prices: Iterable[Asks], *, on: date, supplier: str | None = None) -> list[Asks]:
    """The prices in force on a day: of each supplier and each least number the latest."""
    known = [one for one in prices if one.from_on <= on and supplier in (None, one.supplier)]
    if len(known) < 2:  # as nearly always, where a base has thousands of parts
        return known
    latest: dict[tuple[str, Decimal], Asks] = {}
    for price in sorted(known, key=lambda one: one.from_on):
        latest[price.supplier, price.least] = price
    return sorted(latest.values(), key=lambda one: (one.supplier, one.least))


def price_of(
    prices: Sequence[Asks], *, on: date, quantity: Decimal = Decimal(1), supplier: str | None = None
) -> Money | None:
    """What one costs who buys so many: the least that is asked in force that day; where fewer are
    bought than anybody sells at a time, the price for the fewest. None where nothing is known."""
    known = offers(prices, on=on, supplier=supplier)
    if len(known) < 2:
        return known[0].each if known else None
    bought = [one for one in known if one.least <= quantity]
    if not bought and known:
        fewest = min(one.least for one in known)
        bought = [one for one in known if one.least == fewest]
    latest = max((one.from_on for one in bought), default=None)
    currency = next((one.each.currency for one in bought if one.from_on == latest), "")
    same = [one.each for one in bought if one.each.currency == currency]
    return min(same, key=lambda money: money.amount, default=None)


def added(parts: Iterable[Money]) -> list[Money]:
    """The sum in each currency, the currencies in order."""
    sums: dict[str, Decimal] = defaultdict(Decimal)
    for part in parts:
        sums[part.currency] += part.amount
    return [Money(amount, currency) for currency, amount in sorted(sums.items())]


@dataclass(frozen=True, slots=True)
class Cost:
    """What something cost: sums by currency, and how many parts nobody knows the price of."""

    sums: tuple[Money, ...] = ()
    unknown: int = 0

    def __str__(self) -> str:
        said = " + ".join(str(money) for money in self.sums)
        if not self.unknown:
            return said or "nothing"
        missing = f"{self.unknown} part{'' if self.unknown == 1 else 's'} without a price"
        return f"{said}, and {missing}" if said else missing


def cost_of(parts: Iterable[tuple[Decimal, Money | None]]) -> Cost:
    """What so many of each cost together; a part of unknown price is counted, never taken for free."""
    known, unknown = [], 0
    for quantity, each in parts:
        if each is None:
            unknown += 1
        else:
            known.append(Money(each.amount * quantity, each.currency))
    return Cost(tuple(added(known)), unknown)
