"""What every boat of the big fleet carries: fifty kinds, seventy lines, each sort of limb.

The intervals are invented: what counts is how many lines there are and what each must look at.
"""

from typing import Any

METERS = ("main", "genset")
HOURS_A_WEEK = {"main": 180, "genset": 90}  # of a week on charter, in tenths, on average

ON_MAIN = [
    "impeller",
    "drive-belt",
    "engine-oil",
    "oil-filter",
    "fuel-filter",
    "water-separator",
    "air-filter",
    "gearbox-oil",
    "coolant",
    "alternator",
    "starter",
    "heat-exchanger",
    "mixing-elbow",
    "shaft-seal",
]
ON_GENSET = [
    "genset-impeller",
    "genset-belt",
    "genset-oil",
    "genset-oil-filter",
    "genset-fuel-filter",
    "genset-anode",
]
EXPIRES = [
    "life-raft",
    "raft-release",
    "hand-flare",
    "parachute-flare",
    "smoke-signal",
    "gas-hose",
    "fire-blanket",
    "beacon-battery",
]
BY_SEASON = ["antifouling", "sails", "heating", "shore-cable"]
BY_CHARTERS = ["bilge-pump", "toilet-pump", "dinghy", "mooring-lines"]
BY_MONTHS = [
    "rigging",
    "furler",
    "winch",
    "windlass",
    "anchor-chain",
    "steering-cable",
    "seacock",
    "anode",
    "battery",
    "charger",
    "gas-regulator",
    "gas-alarm",
    "extinguisher",
    "life-jacket",
]

# Each kind and the meter it is on, or none.
KINDS = {
    **dict.fromkeys(ON_MAIN, "main"),
    **dict.fromkeys(ON_GENSET, "genset"),
    **dict.fromkeys([*EXPIRES, *BY_SEASON, *BY_CHARTERS, *BY_MONTHS], ""),
}
BLANK = {
    "every_hours": "",
    "every_months": "",
    "every_charters": "",
    "season_opens": "",
    "season_closes": "",
    "on_expiry": "",
    "late_hours": "",
    "late_days": "",
    "settles": "",
}


def _interval(code: str, kind: str, task: str, **limbs: Any) -> dict[str, Any]:
    return {"interval": code, "kind": kind, "task": task, "minutes": 30, **BLANK, **limbs}


def _metered(kind: str) -> list[dict[str, Any]]:
    """Checked by hours or months, and replaced more seldom, which settles the check."""
    check = _interval(
        f"{kind}-check", kind, f"Check {kind}", every_hours=100, every_months=6, late_hours=10, late_days=14
    )
    replace = {"every_hours": 500, "every_months": 36, "settles": f"{kind}-check"}
    return [check, _interval(f"{kind}-replace", kind, f"Replace {kind}", **replace)]


SEASON = {"season_opens": "10-15", "season_closes": "03-31"}
INTERVALS = [
    *(line for kind in [*ON_MAIN, *ON_GENSET] for line in _metered(kind)),
    *(_interval(f"{kind}-new", kind, f"Renew {kind}", on_expiry="yes") for kind in EXPIRES),
    *(_interval(f"{kind}-care", kind, f"See to {kind}", **SEASON) for kind in BY_SEASON),
    *(_interval(f"{kind}-look", kind, f"Look at {kind}", every_charters=12) for kind in BY_CHARTERS),
    *(_interval(f"{kind}-year", kind, f"Survey {kind}", every_months=12) for kind in BY_MONTHS),
]
TIMES_DONE = {"check": 6, "replace": 1, "new": 1, "care": 1, "look": 3, "year": 2}  # at most, each line
SPARES = {f"{kind}-replace": f"{kind}-kit" for kind in [*ON_MAIN, *ON_GENSET]}
