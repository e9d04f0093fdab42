"""prices.csv of the demo: two years' lists of invented prices, in euros without tax, one with a break."""

from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal

from maintenance.exchange.demo.log import Row

CURRENCY = "EUR"
EACH = {
    "0041-7": "21.40",
    "0047-2": "26.80",
    "belt-875": "17.90",
    "belt-880": "19.20",
    "oil-15w40": "7.80",
    "oil-filter": "11.50",
    "fuel-filter-fine": "14.60",
    "fuel-filter-water": "16.90",
    "sealing-washers": "4.20",
    "gear-oil": "9.40",
    "drive-oil": "12.10",
    "drive-seal-kit": "184",
    "coolant-5": "5.30",
    "anode-shaft": "38.50",
    "gas-3kg": "13.70",
    "gas-washer": "0.35",
    "gas-hose-08": "18.20",
    "regulator-30": "33.90",
    "release-unit": "79",
    "epirb-battery": "212",
    "flare-pack": "146",
    "hand-flares": "15.80",
    "co-alarm": "34.50",
    "first-aid-refill": "27.60",
    "rearm-kit": "29.90",
    "bilge-float": "24.70",
    "bilge-cartridge": "41.20",
    "joker-valve": "13.90",
    "winch-kit": "22.30",
    "grease": "8.90",
    "nav-bulb": "6.40",
    "outboard-plug": "5.70",
    "kill-cord": "12.80",
    "furling-line": "2.85",
    "hose-clamp": "1.95",
    "alternator-90": "268",
    "starter-12": "231",
}
BREAK = ("oil-15w40", 20, "6.90")  # by the drum
BEFORE = Decimal("0.96")  # of this year's list, to the cent
CENT = Decimal("0.01")


def price_rows(spares: Sequence[Row], day: date) -> Iterator[dict[str, object]]:
    """This year's list and the one before it."""
    suppliers = {row["spare"]: row["supplier"] for row in spares}
    for spare, each in EACH.items():
        for from_on, price in ((list_before(day), before(each)), (this_list(day), Decimal(each))):
            yield _row(spare, suppliers[spare], from_on, 1, price)
    spare, least, each = BREAK
    yield _row(spare, suppliers[spare], this_list(day), least, Decimal(each))


def this_list(day: date) -> date:
    return date(day.year, 1, 1)


def list_before(day: date) -> date:
    """From before the books were opened, two years ago."""
    return date(day.year - 3, 1, 1)


def before(each: str) -> Decimal:
    return (Decimal(each) * BEFORE).quantize(CENT)


def paid(spare: str, sent_on: date, day: date) -> Decimal:
    """What an order of a day in the past paid for one."""
    return Decimal(EACH[spare]) if sent_on >= this_list(day) else before(EACH[spare])


def _row(spare: str, supplier: str, from_on: date, least: int, each: Decimal) -> dict[str, object]:
    what = {"spare": spare, "supplier": supplier, "from_on": from_on}
    return what | {"least": least, "each": each, "currency": CURRENCY}
