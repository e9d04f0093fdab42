"""Intervals of a made-up fleet that a reading or a service meets to the tenth, or misses by one."""

from datetime import date
from random import Random

from .random_components import Part, Stay
from .random_dials import written


def make_exact(rnd: Random, parts: list[Part], readings: list[dict], on: date) -> tuple[list, list]:
    """Such intervals, and the services some of them start again from."""
    intervals, services = [], []
    for part in parts:
        shown = _shown_at(part.stays[0], readings, on)
        if shown and rnd.random() < 0.6:
            intervals.append(_interval(rnd, part, shown))
        if shown and intervals and rnd.random() < 0.4:
            services += _service(rnd, part, intervals[-1], shown)
    return intervals, services


def _shown_at(stay: Stay, readings: list[dict], on: date) -> list[tuple[str, int]]:
    """Day and tenths of readings up to `on` above the hours noted at fitting, on days of one meter only."""
    if stay.noted is None or stay.removed_on:
        return []
    rows = [row for row in readings if (row["boat"], row["meter"]) == (stay.boat, stay.meter)]
    changed = [row["taken_on"] for row in rows if row["new_meter"]]
    first = max([stay.fitted_on.isoformat(), *changed])
    shown = [(r["taken_on"], round(float(r["hours"]) * 10)) for r in rows if r["taken_on"] not in changed]
    return sorted(s for s in shown if first < s[0] <= on.isoformat() and s[1] > stay.noted)


def _interval(rnd: Random, part: Part, shown: list[tuple[str, int]]) -> dict:
    ran = rnd.choice([shown[-1], shown[-1], rnd.choice(shown)])[1] - part.stays[0].noted
    late = rnd.choice([0, 0, min(50, ran - 1)])
    every = ran - late + rnd.choice([-1, 0, 0, 1])
    return {
        "interval": f"exact-{part.code}",
        "component": part.code,
        "kind": "",
        "task": "Do it to the tenth",
        "every_hours": written(max(every, 1)),
        "late_hours": written(late),
        "settles": "",
    }


def _service(rnd: Random, part: Part, interval: dict, shown: list[tuple[str, int]]) -> list[dict]:
    """Done just at the end of what is allowed early, or a tenth to either side of it."""
    if interval["component"] != part.code:
        return []
    day, hours = rnd.choice(shown)
    point = part.stays[0].noted + round(float(interval["every_hours"]) * 10)
    early = max(point - hours + rnd.choice([-1, 0, 0, 1]), 0)
    interval |= {"counts_from": "due", "early_hours": written(early)}
    done = {"component": part.code, "interval": interval["interval"], "done_on": day}
    return [done | {"hours": written(hours)}]
