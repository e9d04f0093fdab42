"""components.csv, fittings.csv and services.csv of the demo: what is aboard, dated, and done."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta

from maintenance.exchange.demo.chance import chance
from maintenance.exchange.demo.fitout import Part
from maintenance.exchange.demo.history import Done, before_new_engine, services_of, yearly
from maintenance.exchange.demo.log import Log, Row
from maintenance.exchange.demo.plates import Plate, plate
from maintenance.servicing.calendar import add_months

# Months that the printed date of a new one lies ahead: common practice, no source.
LIFE = {
    "gas-hose-replace": 60,
    "hydrostatic-release-replace": 24,
    "epirb-battery-replace": 72,
    "flares-replace": 36,
    "co-alarm-replace": 84,
    "first-aid-renew": 24,
}
LEAST_GOOD, MOST_GOOD = 5, 20  # months a date still runs where the cast says nothing
NUMBERED = ("life-raft", "epirb", "extinguisher", "outboard")
PUMP_MOVED = 3  # weeks ago


@dataclass(frozen=True, slots=True)
class Fitted:
    """A part as the files say it: fitted when, its printed date, and each task's services."""

    part: Part
    fitted_on: date
    expires_on: str = ""
    removed_on: date | None = None
    services: Mapping[str, Sequence[Done]] = field(default_factory=dict)
    next_boat: str = ""


def fitted_parts(logs: Sequence[Log], intervals: Sequence[Row]) -> list[Fitted]:
    """Everything fitted, with a pump that was taken from one boat for another."""
    fitted = [f for log in logs for f in _of_boat(log, intervals)]
    saturday = logs[0].saturday
    return [_pump_moved(one, saturday - timedelta(weeks=PUMP_MOVED)) for one in fitted]


def _of_boat(log: Log, intervals: Sequence[Row]) -> Iterator[Fitted]:
    for part in log.parts:
        mine = [interval for interval in intervals if interval["kind"] == part.kind]
        if log.new_engine_on and part.kind == "engine-oil":
            yield _of_old_engine(log, replace(part, code=f"{part.code}-1"), mine)
            part = replace(part, code=f"{part.code}-2")
        yield _fitted(log, part, mine)


def _of_old_engine(log: Log, part: Part, intervals: Sequence[Row]) -> Fitted:
    services = {row["interval"]: before_new_engine(log, part, row) for row in intervals}
    return Fitted(part, log.first_day, removed_on=log.new_engine_on, services=services)


def _fitted(log: Log, part: Part, intervals: Sequence[Row]) -> Fitted:
    services = {row["interval"]: services_of(log, part, row) for row in intervals}
    if part.meter and log.new_engine_on:
        return Fitted(part, log.new_engine_on, services=services)
    expires_on = ""
    for row in (row for row in intervals if row["on_expiry"]):
        expires_on, services[row["interval"]] = _printed(log, part, row, intervals)
    return Fitted(part, _fitted_on(log, part, intervals, services), expires_on, services=services)


def _fitted_on(
    log: Log, part: Part, intervals: Sequence[Row], services: Mapping[str, Sequence[Done]]
) -> date:
    """The anniversary of what is done by it; else the first day anything is known of the part."""
    for row in intervals:
        if row["counts_from"] == "due":
            return add_months(yearly(log, part, row)[0], -36)
    days = [done.on for done_all in services.values() for done in done_all]
    return min([log.first_day, *days])


def _printed(log: Log, part: Part, interval: Row, intervals: Sequence[Row]) -> tuple[str, list[Done]]:
    """A printed date and the days of the paper or thing that carries it."""
    if part.kind == "life-raft":
        station = next(row for row in intervals if row["counts_from"] == "due")
        _, *days = yearly(log, part, station)
        return add_months(days[0], 12).isoformat(), [Done(day) for day in days]
    code = interval["interval"]
    told = log.role.months_good
    good = told[code] if code in told else _months_good(part, code)
    left = LEAST_GOOD if good is None else good
    bought = log.saturday_at_home(max(round((LIFE[code] - left) * 4.345), 1))
    return "" if good is None else _as_printed(part, add_months(log.saturday, good)), [Done(bought)]


def _months_good(part: Part, code: str) -> int:
    return chance("good", part.code).randint(LEAST_GOOD, min(MOST_GOOD, LIFE[code] - 2))


def _as_printed(part: Part, day: date) -> str:
    """A month, as one maker or another writes it."""
    return f"{day:%m/%Y}" if chance("printed", part.code).random() < 0.3 else f"{day:%Y-%m}"


def _pump_moved(fitted: Fitted, day: date) -> Fitted:
    """The idle boat's pump went to one that left; she has had none since."""
    if fitted.part.code == "carrick-bilge-pump-electric":
        kept = {code: [d for d in done if d.on < day] for code, done in fitted.services.items()}
        return replace(fitted, removed_on=day, services=kept)
    if fitted.part.code == "scallop-bilge-pump-electric":
        return replace(fitted, removed_on=day, next_boat="carrick")
    return fitted


def component_rows(
    fitted: Sequence[Fitted], plates: dict[tuple[str, str], Plate]
) -> Iterator[dict[str, object]]:
    """What is on an engine is known by the engine's plate; the one of an engine that is gone is gone."""
    for one in fitted:
        part = one.part
        maker, model, serial = ("", "", "") if one.removed_on else plate(part, plates)
        yield {
            "component": part.code,
            "boat": part.boat,
            "kind": part.kind,
            "meter": part.meter,
            "position": part.position,
            "maker": maker,
            "model": model,
            "serial": serial or _serial(part),
            "fitted_on": one.fitted_on,
            "expires_on": one.expires_on,
            "removed_on": one.removed_on or "",
        }


def _serial(part: Part) -> str:
    """Numbers of parts are text and keep their zeros."""
    return f"{chance('serial', part.code).randint(1, 99_999):06d}" if part.kind in NUMBERED else ""


def fitting_rows(fitted: Sequence[Fitted]) -> Iterator[dict[str, object]]:
    for one in fitted:
        if one.next_boat:
            yield {
                "component": one.part.code,
                "boat": one.next_boat,
                "position": one.part.position,
                "fitted_on": one.removed_on,
            }


def service_rows(fitted: Sequence[Fitted]) -> Iterator[dict[str, object]]:
    for one in fitted:
        for interval, done_all in one.services.items():
            for done in done_all:
                yield {
                    "component": one.part.code,
                    "interval": interval,
                    "done_on": done.on,
                    "hours": "" if done.dial is None else done.dial,
                }
