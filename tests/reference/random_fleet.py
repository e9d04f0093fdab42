"""Made-up fleets as valid folders of CSV files, as awkward as the rules for a folder allow."""

import csv
from datetime import date
from pathlib import Path
from random import Random

from .random_components import Part, Stay, make_parts, make_services
from .random_dials import DAY, busy_days, make_dial, readings_of, written
from .random_exact import make_exact
from .random_intervals import METERED, UNMETERED, make_intervals

LAST_FACT = date(2026, 10, 20)
COLUMNS = {
    "bases": "base name timezone",
    "boats": "boat name base",
    "meters": "boat meter",
    "kinds": "kind name system",
    "components": "component boat kind meter position serial fitted_on fitted_hours expires_on"
    " removed_on removed_hours",
    "fittings": "component boat meter position fitted_on fitted_hours removed_on removed_hours",
    "intervals": "interval kind component task every_hours every_months first_hours first_months"
    " every_charters season_opens season_closes on_expiry counts_from early_hours early_days"
    " late_hours late_days settles critical minutes",
    "services": "component interval done_on hours",
    "readings": "boat meter taken_on hours new_meter",
    "charters": "charter boat starts_on ends_on cancelled",
}


def write_random_fleet(folder: Path, seed: int) -> date:
    """Write the folder of this seed, always the same, and return the day to ask about."""
    rnd = Random(seed)
    days = _days(rnd)
    rows = {"bases": _bases(), "kinds": _kinds()}
    bases = _base_of_each_boat(rnd)
    rows["boats"] = [_boat(boat, base) for boat, base in bases.items()]
    meters = {boat: _meters(rnd) for boat in bases}
    rows["meters"] = [{"boat": b, "meter": m} for b, names in meters.items() for m in names]
    rows["charters"] = _charters(rnd, bases, days)
    days["notable"] = _notable_days(rnd, days["on"], rows["charters"])
    dials = _dials(rnd, meters, rows["charters"], days)
    rows["readings"] = _readings(rnd, dials, rows["charters"], days)
    parts = make_parts(rnd, meters, dials, days)
    rows["components"] = [_component_row(rnd, part) for part in parts]
    rows["fittings"] = [_fitting_row(part, stay) for part in parts for stay in part.stays[1:]]
    rows["intervals"] = make_intervals(rnd, rows["components"])
    rows["services"] = make_services(rnd, parts, rows["intervals"], dials, days)
    intervals, services = make_exact(rnd, parts, rows["readings"], days["on"])
    rows["intervals"] += intervals
    rows["services"] += services
    _write(rnd, Path(folder), rows, days["on"])
    return days["on"]


def _days(rnd: Random) -> dict:
    on = date(2023, 1, 1) + DAY * rnd.randint(0, 1095)
    if rnd.random() < 0.1:
        on = rnd.choice([date(2024, 2, 29), date(2023, 2, 28), date(2024, 12, 31), date(2025, 3, 31)])
    end = min(on + DAY * rnd.randint(0, 200), LAST_FACT)
    return {"on": on, "start": on - DAY * rnd.randint(250, 800), "end": end}


def _bases() -> list[dict]:
    return [
        {"base": "east", "name": "East steps", "timezone": "Europe/Athens"},
        {"base": "west", "name": "West steps", "timezone": "Europe/Lisbon"},
    ]


def _base_of_each_boat(rnd: Random) -> dict[str, str]:
    return {f"b{n:02d}": rnd.choice(["east", "west"]) for n in range(rnd.randint(1, 6))}


def _meters(rnd: Random) -> list[str]:
    return rnd.choices([["main"], ["port", "starboard"], []], [5, 3, 1])[0]


def _boat(boat: str, base: str) -> dict:
    return {"boat": boat, "name": f"Boat {boat}", "base": base}


def _kinds() -> list[dict]:
    return [
        {"kind": kind, "name": kind.replace("-", " ").capitalize(), "system": system}
        for system, kinds in (("engine", METERED), ("safety", UNMETERED))
        for kind in kinds
    ]


def _charters(rnd: Random, bases: dict[str, str], days: dict) -> list[dict]:
    """Charters of each boat; a base that is `new` has let none of its boats yet."""
    new = {base for base in ("east", "west") if rnd.random() < 0.2}
    rows = []
    for boat, base in bases.items():
        first = days["on"] - DAY if base in new else days["start"] + DAY * rnd.randint(0, 40)
        last = days["on"] + DAY * rnd.choice([-60, 5, 60, 150, 400])
        if rnd.random() < 0.9:
            rows += _charters_of(rnd, boat, first, last, days["on"])
    return rows


def _charters_of(rnd: Random, boat: str, day: date, last: date, on: date) -> list[dict]:
    rows = []
    busy = rnd.choice([[0, 0, 0, 3], [0, 1, 7, 14], [20, 40, 90]])
    while day < last:
        gap = rnd.choice(busy)
        crosses = day <= on < day + DAY * gap
        day = on if crosses and rnd.random() < 0.4 else day + DAY * gap
        ends = day + DAY * rnd.choice([1, 3, 7, 7, 7, 14, 21])
        cancelled = rnd.random() < 0.12
        rows.append(_charter(boat, len(rows), day, ends, cancelled))
        overlapped = cancelled and rnd.random() < 0.5
        day = day + DAY * rnd.choice([0, 1]) if overlapped else ends
    return rows


def _charter(boat: str, number: int, starts: date, ends: date, cancelled: bool) -> dict:
    return {
        "charter": f"{boat}-c{number:03d}",
        "boat": boat,
        "starts_on": starts.isoformat(),
        "ends_on": ends.isoformat(),
        "cancelled": "yes" if cancelled else "",
    }


def _notable_days(rnd: Random, on: date, charters: list[dict]) -> list[date]:
    """Days at whose edges the rules turn: the day itself and charters going out and coming in."""
    near = [c for c in charters if abs((date.fromisoformat(c["starts_on"]) - on).days) < 60]
    turns = [date.fromisoformat(c[end]) for c in near for end in ("starts_on", "ends_on")]
    picked = [on, on, *rnd.sample(turns, min(len(turns), 5))]
    return [day + DAY * shift for day in picked for shift in (-1, 0, 1) if day + DAY < LAST_FACT]


def _dials(rnd: Random, meters: dict, charters: list[dict], days: dict) -> dict:
    span = (days["start"], days["end"])
    return {
        (boat, meter): make_dial(rnd, boat, meter, span, _days_out(boat, charters))
        for boat, names in meters.items()
        for meter in names
    }


def _days_out(boat: str, charters: list[dict]) -> set[date]:
    out = set()
    for row in charters:
        if row["boat"] == boat and not row["cancelled"]:
            day = date.fromisoformat(row["starts_on"])
            while day < date.fromisoformat(row["ends_on"]):
                out.add(day)
                day += DAY
    return out


def _readings(rnd: Random, dials: dict, charters: list[dict], days: dict) -> list[dict]:
    rows = []
    for (boat, _), dial in dials.items():
        ends = [date.fromisoformat(c["ends_on"]) for c in charters if c["boat"] == boat]
        read = readings_of(rnd, dial, days["on"], ends)
        dial.busy = busy_days(rnd, read)
        rows += read
    return rows


def _component_row(rnd: Random, part: Part) -> dict:
    row = _fitting_row(part, part.stays[0])
    serial = f"{rnd.randint(0, 9999):06d}"
    return row | {"kind": part.kind, "serial": serial, "expires_on": part.expires_on}


def _fitting_row(part: Part, stay: Stay) -> dict:
    return {
        "component": part.code,
        "boat": stay.boat,
        "meter": stay.meter,
        "fitted_on": stay.fitted_on.isoformat(),
        "fitted_hours": "" if stay.noted is None else written(stay.noted),
        "removed_on": stay.removed_on.isoformat() if stay.removed_on else "",
        "removed_hours": "" if stay.removed_noted is None else written(stay.removed_noted),
    }


def _write(rnd: Random, folder: Path, rows: dict[str, list[dict]], on: date) -> None:
    """Write the files, rows and columns in no order, for none is promised."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, columns in COLUMNS.items():
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as out:
            header = rnd.sample(columns.split(), len(columns.split()))
            writer = csv.DictWriter(out, header, restval="")
            writer.writeheader()
            writer.writerows(rnd.sample(rows[name], len(rows[name])))
    (folder / "on.txt").write_text(f"{on.isoformat()}\n", encoding="utf-8")
