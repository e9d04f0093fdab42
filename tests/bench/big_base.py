"""A fleet of any size as a folder of CSV files: the same boat is the same, however many others there are."""

import csv
import os
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

from tests.bench.big_parts import EXPIRES, HOURS_A_WEEK, INTERVALS, KINDS, METERS, SPARES, TIMES_DONE

NOW = datetime(2026, 5, 28, 13, 0, tzinfo=UTC)  # a Thursday afternoon in the season
TODAY = NOW.date()
FIRST_SATURDAY = date(2024, 6, 1)
WEEK = timedelta(days=7)
WEEKS = (TODAY - FIRST_SATURDAY).days // 7 + 1  # Saturdays with a reading, up to today
WEEKS_BOOKED = 20  # weeks of charters that lie ahead
BOATS_A_BASE = 20
BOATS = int(os.environ.get("FETTLE_BENCH_BOATS", "1000"))
if BOATS < BOATS_A_BASE:
    raise ValueError(f"FETTLE_BENCH_BOATS: found {BOATS}; wanted a whole base, {BOATS_A_BASE} or more")

Rows = dict[str, list[dict[str, Any]]]


def write_big_base(folder: Path, boats: int) -> Path:
    """Writes a fleet of so many boats, twenty to a base; about 420 rows a boat."""
    folder.mkdir(parents=True, exist_ok=True)
    rows = _standing(boats)
    for number in range(boats):
        for file, of_boat in _boat(number).items():
            rows.setdefault(file, []).extend(of_boat)
    for file, of_file in rows.items():
        _write(folder / file, of_file)
    return folder


def _write(path: Path, rows: list[dict[str, Any]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as out:
        sheet = csv.DictWriter(out, list(rows[0]))
        sheet.writeheader()
        sheet.writerows(rows)


def base_code(boat: int) -> str:
    return f"quay-{boat // BOATS_A_BASE:02}"


def boat_code(boat: int) -> str:
    return f"b{boat:04}"


def _standing(boats: int) -> Rows:
    """What all boats have in common, and each base's store."""
    bases = [base_code(first) for first in range(0, boats, BOATS_A_BASE)]
    return {
        "bases.csv": [{"base": b, "name": f"The {b}", "timezone": "Europe/Lisbon"} for b in bases],
        "kinds.csv": [{"kind": kind, "name": kind.capitalize(), "system": "all"} for kind in KINDS],
        "intervals.csv": list(INTERVALS),
        "spares.csv": [{"spare": spare, "name": f"Kit, {spare}"} for spare in SPARES.values()],
        "interval_spares.csv": [
            {"interval": interval, "spare": spare, "quantity": 1} for interval, spare in SPARES.items()
        ],
        "stock.csv": [
            {"spare": spare, "store": b, "quantity": n % 7, "allowance": 2}
            for b in bases
            for n, spare in enumerate(SPARES.values())
        ],
    }


def _boat(number: int) -> Rows:
    """One boat, by a chance of her own: what her neighbours are changes nothing."""
    chance, code = Random(f"boat {number}"), boat_code(number)
    out = _weeks_out(chance)
    dials = {meter: _dials(chance, out, pace) for meter, pace in HOURS_A_WEEK.items()}
    return {
        "boats.csv": [{"boat": code, "name": f"Boat {number}", "base": base_code(number)}],
        "meters.csv": [{"boat": code, "meter": meter} for meter in METERS],
        "components.csv": list(_components(chance, code, dials)),
        "readings.csv": list(_readings(code, dials)),
        "charters.csv": list(_charters(chance, code, out)),
        "services.csv": list(_services(chance, code, dials)),
        "stock.csv": [{"spare": spare, "store": code, "quantity": 1} for spare in list(SPARES.values())[:4]],
    }


def _weeks_out(chance: Random) -> list[bool]:
    """Which weeks she is on charter, those ahead too: nearly always in the season, seldom in winter."""
    weeks = (FIRST_SATURDAY + n * WEEK for n in range(WEEKS + WEEKS_BOOKED))
    return [chance.random() < (0.9 if 4 <= week.month <= 10 else 0.1) for week in weeks]


def _dials(chance: Random, out: list[bool], pace: int) -> list[int]:
    """What a meter shows each Saturday, in tenths of an hour."""
    dials = [chance.randrange(0, 20_000)]
    for week in range(1, WEEKS):
        dials.append(dials[-1] + (chance.randrange(0, 2 * pace) if out[week - 1] else chance.randrange(0, 5)))
    return dials


def _saturday(week: int) -> str:
    return (FIRST_SATURDAY + week * WEEK).isoformat()


def _readings(code: str, dials: dict[str, list[int]]) -> Iterator[dict[str, Any]]:
    for meter, shown in dials.items():
        for week, dial in enumerate(shown):
            yield {"boat": code, "meter": meter, "taken_on": _saturday(week), "hours": dial / 10}


def _components(chance: Random, code: str, dials: dict[str, list[int]]) -> Iterator[dict[str, Any]]:
    """Each kind once, aboard since before the first reading or fitted on a Saturday since."""
    for kind, meter in KINDS.items():
        week = chance.choice((0, 0, 0, chance.randrange(0, WEEKS // 4)))
        printed = TODAY + timedelta(days=chance.randrange(-30, 1_500))
        yield {
            "component": f"{code}-{kind}",
            "boat": code,
            "kind": kind,
            "meter": meter,
            "fitted_on": _saturday(week),
            "expires_on": printed.isoformat() if kind in EXPIRES else "",
        }


def _charters(chance: Random, code: str, out: list[bool]) -> Iterator[dict[str, Any]]:
    """A week each, Saturday to Saturday."""
    for week, is_out in enumerate(out):
        if is_out:
            yield {
                "charter": f"{code}-{week:03}",
                "boat": code,
                "starts_on": _saturday(week),
                "leaves_at": "17:00",
                "ends_on": _saturday(week + 1),
                "back_at": "09:00",
                "skipper": f"Skipper {chance.randrange(1_000)}",
                "cancelled": "yes" if chance.random() < 0.02 else "",
            }


def _services(chance: Random, code: str, dials: dict[str, list[int]]) -> Iterator[dict[str, Any]]:
    """On Saturdays since the last a component may have been fitted; half of those that can note the dial."""
    for interval in INTERVALS:
        meter = KINDS[interval["kind"]]
        for week in _weeks_done(chance, TIMES_DONE[interval["interval"].rpartition("-")[2]]):
            noted = meter and chance.random() < 0.5
            yield {
                "component": f"{code}-{interval['kind']}",
                "interval": interval["interval"],
                "done_on": _saturday(week),
                "hours": dials[meter][week] / 10 if noted else "",
            }


def _weeks_done(chance: Random, times: int) -> Iterable[int]:
    """Up to so many weeks: some lines were never recorded."""
    weeks = range(WEEKS // 4, WEEKS)
    return sorted(chance.sample(weeks, chance.randrange(0, times + 1)))
