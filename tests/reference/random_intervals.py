"""Service intervals of a made-up fleet, with every sort of limb and of leeway."""

from random import Random

METERED = ["impeller", "drive-belt", "engine-oil", "fuel-filter", "anode"]
UNMETERED = ["gearbox-oil", "gas-bottle", "gas-hose", "life-raft", "flares"]
SEASONS = [
    ("10-15", "03-31"),
    ("11-01", "02-29"),
    ("04-01", "10-31"),
    ("02-29", "06-30"),
    ("05-01", "05-31"),
    ("12-31", "01-01"),
    ("01-01", "12-31"),
]


def make_intervals(rnd: Random, components: list[dict]) -> list[dict]:
    """One or two intervals for each kind, and some components' own beside them."""
    rows = []
    for kind in METERED + UNMETERED:
        for number in range(rnd.choice([1, 1, 2, 3])):
            rows.append(_interval(rnd, f"{kind}-{number}", kind=kind))
            _settle(rnd, rows, kind)
    for component in rnd.sample(components, min(len(components), rnd.randint(1, 8))):
        code = component["component"]
        rows.append(_interval(rnd, f"own-{code}", component=code, own_kind=component["kind"]))
        _settle(rnd, rows, component["kind"])
    return rows


def _settle(rnd: Random, rows: list[dict], kind: str) -> None:
    """Let the newest settle some of its kind's earlier ones, so that chains arise."""
    earlier = [row["interval"] for row in rows[:-1] if row["kind"] == kind]
    if earlier and rnd.random() < 0.6:
        settled = {earlier[-1]} | {code for code in earlier if rnd.random() < 0.2}
        rows[-1]["settles"] = " ".join(sorted(settled))


def _interval(rnd: Random, code: str, kind: str = "", component: str = "", own_kind: str = "") -> dict:
    metered = (kind or own_kind) in METERED
    row = {"interval": code, "kind": kind, "component": component, "task": f"Do {code}"}
    for limb in _limbs(rnd, metered):
        row |= limb(rnd)
    row |= {
        "counts_from": rnd.choice(["due", "due", "done", ""]),
        "early_hours": rnd.choice(["", "", "0", "10", "20", "2.5"]),
        "early_days": rnd.choice(["", "", "0", "5", "20", "60"]),
        "late_hours": rnd.choice(["", "", "", "5", "14.5", "30"]),
        "late_days": rnd.choice(["", "", "", "7", "30", "150"]),
        "critical": rnd.choice(["", "yes"]),
        "minutes": rnd.choice(["", "30", "120"]),
    }
    return row


def _limbs(rnd: Random, metered: bool) -> list:
    limbs = [_hours, _months, _charters, _season, _expiry]
    weights = [20, 3, 1, 1, 1] if metered else [1, 8, 6, 6, 8]
    return list(dict.fromkeys(rnd.choices(limbs, weights, k=rnd.choice([1, 1, 2, 3]))))


def _hours(rnd: Random) -> dict:
    every = rnd.choice(["10", "25", "50", "100", "12.5", "250", "30", "80", "150", "150", "500"])
    first = rnd.choice(["5", "25", "50", "7.5", "120"])
    every, first = rnd.choice([(every, ""), (every, ""), (every, first), (every, first), ("", first)])
    return {"every_hours": every, "first_hours": first}


def _months(rnd: Random) -> dict:
    every, first = rnd.choice(["1", "2", "6", "12", "48"]), rnd.choice(["1", "3", "7"])
    every, first = rnd.choice([(every, ""), (every, ""), (every, first), ("", first)])
    return {"every_months": every, "first_months": first}


def _charters(rnd: Random) -> dict:
    return {"every_charters": rnd.choice(["1", "1", "2", "3", "8"])}


def _season(rnd: Random) -> dict:
    opens, closes = rnd.choice(SEASONS)
    return {"season_opens": opens, "season_closes": closes}


def _expiry(rnd: Random) -> dict:
    return {"on_expiry": "yes"}
