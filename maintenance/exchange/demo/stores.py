"""stock.csv of the demo: the store's shelves, and the kit aboard each boat."""

from collections.abc import Iterator

STORE = "alvorim"
SHELVES: dict[str, dict[str, tuple[float, float]]] = {
    "A1": {
        "oil-15w40": (22, 30),
        "gear-oil": (3, 2),
        "drive-oil": (6, 10),
        "coolant-5": (15, 10),
        "grease": (3, 4),
    },
    "A2": {
        "oil-filter": (4, 6),
        "fuel-filter-fine": (5, 4),
        "fuel-filter-water": (1, 4),
        "sealing-washers": (6, 4),
    },
    "A3": {"0041-7": (2, 4), "belt-875": (3, 3), "drive-seal-kit": (0, 1), "hose-clamp": (24, 20)},
    "B1": {"gas-washer": (20, 12), "gas-hose-08": (1, 2), "regulator-30": (1, 1), "release-unit": (1, 2)},
    "B2": {"flare-pack": (0, 1), "co-alarm": (2, 1), "first-aid-refill": (1, 2), "rearm-kit": (3, 4)},
    "B3": {"bilge-float": (2, 2), "bilge-cartridge": (0, 2), "joker-valve": (4, 4), "winch-kit": (2, 2)},
    "C1": {"nav-bulb": (10, 8), "outboard-plug": (3, 4), "kill-cord": (2, 3), "furling-line": (38.5, 40)},
    "gas cage": {"gas-3kg": (9, 12)},
    "boatyard": {"anode-shaft": (3, 4)},
}
KIT: dict[str, tuple[float, float]] = {
    "0041-7": (1, 1),
    "belt-875": (1, 1),
    "fuel-filter-fine": (1, 1),
    "fuel-filter-water": (1, 1),
    "oil-15w40": (4, 4),
    "nav-bulb": (2, 2),
    "hose-clamp": (6, 6),
    "joker-valve": (1, 1),
    "kill-cord": (1, 1),
}
# Used on the way and not put back: the belt that one crew then takes is in no book.
SHORT = {
    ("cowrie", "belt-875"): 0,
    ("whelk", "nav-bulb"): 1,
    ("marline", "0041-7"): 0,
    ("zephyr", "oil-15w40"): 1.5,
}


def stock_rows(boats: list[str]) -> Iterator[dict[str, object]]:
    for shelf, spares in SHELVES.items():
        for spare, (quantity, allowance) in spares.items():
            yield _row(spare, STORE, quantity, allowance, place=shelf)
    for boat in boats:
        for spare, (quantity, allowance) in KIT.items():
            yield _row(spare, boat, SHORT.get((boat, spare), quantity), allowance)


def _row(spare: str, store: str, quantity: float, allowance: float, place: str = "") -> dict[str, object]:
    return {"spare": spare, "store": store, "place": place, "quantity": quantity, "allowance": allowance}
