"""What the lists of gear ask of one boat, beside what she carries and what of it is in date."""

from datetime import date
from typing import Any

from fleet.boats.models import Boat
from fleet.pages.desk import Desk
from maintenance.planning.gear import asked_of
from maintenance.release.facts import next_charters
from maintenance.safety.short import Asked


def asked_rows(boat: Boat, desk: Desk, on: date) -> list[dict[str, Any]]:
    """Each list with its clauses, those she goes by first; none where the base has no list."""
    trips = next_charters([boat.pk], on)
    found = asked_of(desk.base, [boat.pk], trips, on=on, now=desk.now).get(boat.pk, [])
    lists: dict[str, dict[str, Any]] = {}
    for one in found:
        known = lists.setdefault(one.list, {"name": one.list, "adopted": one.adopted, "rows": [], "short": 0})
        known["rows"].append(_row(one))
        known["short"] += bool(one.short)
    return sorted(lists.values(), key=lambda known: (not known["adopted"], known["name"]))


def printed_lines(lists: list[dict[str, Any]]) -> int:
    """How many lines the lists take on paper, their headings counted as three."""
    return sum(3 + len(known["rows"]) for known in lists)


def _row(one: Asked) -> dict[str, Any]:
    each = f"{one.number} for each person" if one.per_person else ""
    return {
        "thing": one.thing,
        "properties": one.properties,
        "required": one.required,
        "each": f"{each}: how many she carries is not recorded" if one.required is None else each,
        "carried": one.carried,
        "in_date": one.in_date,
        "short": one.short,
        "source": ": ".join(part for part in (one.clause, one.source) if part),
    }
