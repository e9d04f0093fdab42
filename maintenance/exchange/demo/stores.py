"""stock.csv of the demo: the store's shelves and boxes, and the kit aboard each boat."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

STORE = "alvorim"
SHELVES: dict[str, dict[str, tuple[str, str]]] = {
    "A1": {
        "oil-15w40": ("22", "30"),
        "gear-oil": ("3", "2"),
        "drive-oil": ("6", "10"),
        "coolant-5": ("15", "10"),
        "grease": ("3", "4"),
    },
    "A2": {
        "oil-filter": ("4", "6"),
        "fuel-filter-fine": ("5", "4"),
        "fuel-filter-water": ("1", "4"),
        "sealing-washers": ("6", "4"),
    },
    "A3": {
        "0041-7": ("2", "4"),
        "0047-2": ("1", "1"),
        "belt-875": ("3", "3"),
        "belt-880": ("2", ""),
        "drive-seal-kit": ("0", "1"),
        "hose-clamp": ("24", "20"),
    },
    "A3/old numbers": {"0041-5": ("2", "")},
    "A4": {"alternator-90": ("1", "1"), "starter-12": ("1", "1")},
    "B1": {
        "gas-washer": ("20", "12"),
        "gas-hose-08": ("1", "2"),
        "regulator-30": ("1", "1"),
        "release-unit": ("1", "2"),
    },
    "B2": {
        "flare-pack": ("0", "1"),
        "hand-flares": ("0", "4"),
        "co-alarm": ("2", "1"),
        "first-aid-refill": ("0", "2"),
        "rearm-kit": ("3", "4"),
    },
    "B3": {
        "bilge-float": ("2", "2"),
        "bilge-cartridge": ("0", "2"),
        "joker-valve": ("4", "4"),
        "winch-kit": ("2", "2"),
    },
    "C1": {"nav-bulb": ("10", "8"), "furling-line": ("38.5", "40")},
    "C1/outboard": {"outboard-plug": ("3", "4"), "kill-cord": ("2", "3")},
    "gas cage": {"gas-3kg": ("9", "12")},
    "boatyard": {"anode-shaft": ("3", "4")},
}
SHELF_OF = {spare: shelf for shelf, spares in SHELVES.items() for spare in spares}
# How many should be aboard is said of the boats' designs, in allowances.csv.
KIT = {
    "0041-7": "1",
    "belt-875": "1",
    "fuel-filter-fine": "1",
    "fuel-filter-water": "1",
    "oil-15w40": "4",
    "nav-bulb": "2",
    "hose-clamp": "6",
    "joker-valve": "1",
    "kill-cord": "1",
}
# Used on the way and not put back: the belt that one crew then takes is in no book.
SHORT = {
    ("cowrie", "belt-875"): "0",
    ("whelk", "nav-bulb"): "1",
    ("marline", "0041-7"): "0",
    ("zephyr", "oil-15w40"): "1.5",
}


@dataclass(frozen=True, slots=True)
class Dated:
    """Parts that run out: their lot's mark, how many, and the days the last good one lies ahead
    (below zero: past)."""

    spare: str
    lot: str
    quantity: str
    days: int


LOTS = (
    Dated("hand-flares", "HF-0713", "2", -40),
    Dated("hand-flares", "HF-0922", "4", 790),
    Dated("first-aid-refill", "FA-118", "1", 18),
)


def stock_rows(boats: list[str], day: date, beside: Mapping[str, Decimal]) -> Iterator[dict[str, object]]:
    """What lay there when the books were opened: what does now, and `beside` it of each part what went
    since more than came."""
    for shelf, spares in SHELVES.items():
        for spare, (quantity, allowance) in spares.items():
            many = Decimal(quantity) + beside.get(spare, Decimal(0))
            yield _row(spare, STORE, many, allowance, place=shelf)
    for one in LOTS:
        until = day + timedelta(days=one.days)
        place = SHELF_OF[one.spare]
        yield _row(one.spare, STORE, one.quantity, place=place, lot=one.lot, expires_on=until)
    for boat in boats:
        for spare, kit in KIT.items():
            yield _row(spare, boat, SHORT.get((boat, spare), kit))


def _row(spare: str, store: str, quantity: object, allowance: str = "", **more: object) -> dict[str, object]:
    blank = {"place": "", "lot": "", "expires_on": ""}
    return {"spare": spare, "store": store, "quantity": quantity, "allowance": allowance} | blank | more
