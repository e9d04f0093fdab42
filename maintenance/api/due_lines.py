"""Lines of the due list as records: straight from the stored columns, or derived for another day."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.core.exceptions import EmptyResultSet
from django.db import connection
from django.db.models import QuerySet

from fleet.boats.models import Boat, Component
from fleet.charters.models import Charter
from maintenance.servicing.listing import fresh_rows
from maintenance.servicing.models import Due, ServiceInterval

Record = dict[str, Any]
# Stored columns in the order they are read; the key of the list comes first.
PATHS = (
    *("sort_on", "component_id", "interval_id", "boat_id", "boat__code", "component__code"),
    *("component__kind__code", "component__kind__system", "interval__code", "interval__task"),
    *("interval__critical", "interval__minutes", "due_on", "governs", "basis", "limit_on"),
    *("due_hours", "hours_now", "limit_hours", "recorded", "missing"),
)


@dataclass(frozen=True, slots=True)
class Asked:
    """What is needed to judge lines for a day: the day, whose boats, when their next charters end."""

    on: date
    bases: dict[int, str]
    next_ends: dict[int, str]

    @classmethod
    def about(cls, bases: dict[int, str], on: date, boats: Collection[int]) -> "Asked":
        """`bases` are the codes of the bases by boat, `boats` those of the lines; one query."""
        ends: dict[int, str] = {}
        rows = Charter.objects.next_from(on).filter(boat__in=boats)
        for boat, ends_on in rows.values_list("boat_id", "ends_on"):
            ends.setdefault(boat, ends_on.isoformat())
        return cls(on, bases, ends)


def stored(rows: QuerySet[Due]) -> list[tuple[Any, ...]]:
    """Stored lines as the database gives them, unconverted: twice as fast as rows of ours.

    Days come as text from one database and as days from another, hours as numbers of either sort:
    `record` reads both.
    """
    try:
        sql, params = rows.values_list(*PATHS).query.sql_with_params()
    except EmptyResultSet:
        return []
    with connection.cursor() as cursor:
        cursor.execute(sql, params)
        return cursor.fetchall()


def fresh(boats: Collection[int], on: date) -> Iterator[tuple[Any, ...]]:
    """Lines of boats derived for a day, as `stored` gives them, in the list's order."""
    rows = sorted(fresh_rows(boats, on), key=lambda r: (r.sort_on, r.component_id, r.interval_id))
    codes = dict(Boat.objects.filter(pk__in=boats).values_list("pk", "code"))
    columns = ("pk", "code", "kind__code", "kind__system")
    ids = {row.component_id for row in rows}
    parts = {pk: told for pk, *told in _in_bulk(Component, ids, columns)}
    tasks = {
        pk: told
        for pk, *told in _in_bulk(
            ServiceInterval, {r.interval_id for r in rows}, ("pk", "code", "task", "critical", "minutes")
        )
    }
    for r in rows:
        key = (r.sort_on, r.component_id, r.interval_id, r.boat_id)
        due = (r.due_on, r.governs, r.basis, r.limit_on, r.due_hours, r.hours_now, r.limit_hours)
        yield (
            *key,
            codes[r.boat_id],
            *parts[r.component_id],
            *tasks[r.interval_id],
            *due,
            r.recorded,
            r.missing,
        )


def _in_bulk(model: Any, ids: Collection[int], columns: tuple[str, ...]) -> Iterable[tuple[Any, ...]]:
    rows: Iterable[tuple[Any, ...]] = model.objects.filter(pk__in=ids).values_list(*columns)
    return rows


def record(row: tuple[Any, ...], asked: Asked) -> Record:
    """One line as it is told: days as ISO 8601, hours to 0.1, judged for the day asked about."""
    (_, _, _, boat_id, boat, component, kind, system, interval, task, critical, minutes) = row[:12]
    due_on, governs, basis, limit_on, due_hours, hours_now, limit_hours, recorded, missing = row[12:]
    limit = _day(limit_on)
    ends = asked.next_ends.get(boat_id)
    due, now, most = _hundredths(due_hours), _hundredths(hours_now), _hundredths(limit_hours)
    return {
        "base": asked.bases[boat_id],
        "boat": boat,
        "component": component,
        "kind": kind,
        "system": system,
        "interval": interval,
        "task": task,
        "critical": bool(critical),
        "minutes": minutes,
        "due_on": _day(due_on),
        "governs": governs,
        "basis": basis,
        "limit_on": limit,
        "due_hours": _tenths(due),
        "hours_now": _tenths(now),
        "hours_left": None if due is None or now is None else _tenths(due - now),
        "overdue": (limit is not None and limit < asked.on.isoformat())
        or (now is not None and most is not None and now > most),
        "before_handover": limit is not None and ends is not None and limit < ends,
        "recorded": bool(recorded),
        "missing": missing.split(),
    }


def _day(value: Any) -> str | None:
    return value if value is None or isinstance(value, str) else value.isoformat()


def _hundredths(hours: Any) -> int | None:
    """Hours as the whole hundredths they are kept in, so that sums and comparisons are exact."""
    return None if hours is None else round(hours * 100)


def _tenths(hundredths: int | None) -> float | None:
    """Hundredths to 0.1, a half away from nothing as `due` rounds."""
    if hundredths is None:
        return None
    tenths = (abs(hundredths) + 5) // 10
    return (tenths if hundredths >= 0 else -tenths) / 10
