"""A base's CSV folder as plain rows, with nothing in them that is dated after the day asked about."""

import csv
from dataclasses import dataclass, field, replace
from datetime import date
from fractions import Fraction
from pathlib import Path


@dataclass(frozen=True)
class Place:
    """Where a component sat; a blank `meter` is a place without one."""

    boat: str
    meter: str
    fitted_on: date
    fitted_hours: Fraction | None
    removed_on: date | None
    removed_hours: Fraction | None


@dataclass(frozen=True)
class Service:
    component: str
    interval: str
    done_on: date
    hours: Fraction | None


@dataclass(frozen=True)
class Reading:
    boat: str
    meter: str
    taken_on: date
    hours: Fraction
    new_meter: bool


@dataclass(frozen=True)
class Charter:
    boat: str
    starts_on: date
    ends_on: date


@dataclass
class Folder:
    """Everything known on the day `on`; cancelled charters are already left out."""

    on: date
    base_of: dict[str, str]
    meters: list[tuple[str, str]]
    components: list[dict]
    intervals: list[dict]
    services: list[Service]
    readings: list[Reading]
    charters: list[Charter]
    places: dict[str, list[Place]] = field(default_factory=dict)


def read_folder(folder: Path, on: date) -> Folder:
    """The folder as it was known on `on`."""
    components = _rows(folder, "components")
    known = Folder(
        on=on,
        base_of={row["boat"]: row["base"] for row in _rows(folder, "boats")},
        meters=[(row["boat"], row["meter"]) for row in _rows(folder, "meters")],
        components=components,
        intervals=_rows(folder, "intervals"),
        services=[s for s in map(_service, _rows(folder, "services")) if s.done_on <= on],
        readings=[r for r in map(_reading, _rows(folder, "readings")) if r.taken_on <= on],
        charters=[_charter(row) for row in _rows(folder, "charters") if row["cancelled"] != "yes"],
    )
    for row in components + _rows(folder, "fittings"):
        _add_place(known, row["component"], _place(row))
    for places in known.places.values():
        places.sort(key=lambda place: place.fitted_on)
    return known


def number(text: str) -> Fraction | None:
    return Fraction(text) if text else None


def _rows(folder: Path, name: str) -> list[dict]:
    path = folder / f"{name}.csv"
    if not path.exists():
        return []
    with path.open(encoding="utf-8-sig", newline="") as lines:
        return [_Row(row) for row in csv.DictReader(lines)]


class _Row(dict):
    """A row whose absent columns read as blank."""

    def __missing__(self, column):
        return ""


def _day(text: str) -> date | None:
    return date.fromisoformat(text) if text else None


def _service(row) -> Service:
    return Service(row["component"], row["interval"], _day(row["done_on"]), number(row["hours"]))


def _reading(row) -> Reading:
    new_meter = row["new_meter"] == "yes"
    return Reading(row["boat"], row["meter"], _day(row["taken_on"]), number(row["hours"]), new_meter)


def _charter(row) -> Charter:
    return Charter(row["boat"], _day(row["starts_on"]), _day(row["ends_on"]))


def _place(row) -> Place:
    return Place(
        boat=row["boat"],
        meter=row["meter"],
        fitted_on=_day(row["fitted_on"]),
        fitted_hours=number(row["fitted_hours"]),
        removed_on=_day(row["removed_on"]),
        removed_hours=number(row["removed_hours"]),
    )


def _add_place(known: Folder, component: str, place: Place) -> None:
    if place.fitted_on > known.on:
        return
    if place.removed_on and place.removed_on > known.on:
        place = replace(place, removed_on=None, removed_hours=None)
    known.places.setdefault(component, []).append(place)
