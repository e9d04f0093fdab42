"""What of her work and dates is not done when she is handed over: rows in, plain words out."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db.models import Q

from fleet.bases.models import Base
from fleet.boats.dates import spoken
from fleet.boats.models import Boat
from fleet.charters.models import Charter
from maintenance.planning.dated import audit_of
from maintenance.safety.audit import EXPIRED, ILLEGIBLE, RUNS_OUT, Line
from maintenance.servicing.following import positions
from maintenance.servicing.models import Due

OpenJob = dict[str, str]


def open_jobs(boat: Boat, charter: Charter, *, base: Base, on: date, now: datetime) -> list[OpenJob]:
    """Tasks of a boat that are overdue or pass their limit before a charter ends, and printed dates that
    have expired, run out before that or cannot be read; they hold nothing by themselves.

    Each has what is to be done (`task`), the thing, how it `says`; `line` is the task's, as the list of
    work has it, `component` the thing's whose date it is. A fixed number of queries.
    """
    late = Q(overdue=True) | Q(limit_on__lt=charter.ends_on)
    rows = Due.objects.filter(boat=boat).judged(on).filter(late)
    dues = list(rows.select_related("interval", "component__kind").order_by("sort_on", "pk"))
    told = [due for due in dues if due.recorded or due.governs == "expiry"]
    by_date = {due.component_id for due in told if due.governs == "expiry"}
    where = positions([boat.pk]) if told else {}
    lines = audit_of(base, on=on, now=now, boat=boat.pk).lines
    return [
        *(_job(due, where.get(due.component_id, "")) for due in told),
        *(_date(line) for line in lines if _is_short(line) and line.thing.component not in by_date),
        *_never(len(dues) - len(told)),
    ]


def _job(due: Due, where: str) -> OpenJob:
    day = due.due_on
    says = "overdue" if due.overdue else "due before she is back"
    return {
        "task": due.interval.task,
        "thing": due.component.kind.name + (f", {where}" if where else ""),
        "says": f"{says}, {spoken(day)}" if day is not None else says,
        "line": f"{due.component_id}-{due.interval_id}",
        "component": "",
    }


def _is_short(line: Line) -> bool:
    return line.state in (EXPIRED, RUNS_OUT, ILLEGIBLE)


def _date(line: Line) -> OpenJob:
    thing = line.thing
    good = f", good through {spoken(line.good_through)}" if line.good_through is not None else ""
    state = "runs out before she is back" if line.state == RUNS_OUT else line.state
    return {
        "task": thing.kind_name + (f", {thing.position}" if thing.position else ""),
        "thing": line.expected.what,
        "says": state + good,
        "line": "",
        "component": str(thing.component),
    }


def _never(count: int) -> Iterable[OpenJob]:
    if not count:
        return []
    says = "asked for before she is back"
    task = "1 task never recorded" if count == 1 else f"{count} tasks never recorded"
    return [{"task": task, "thing": "", "says": says, "line": "", "component": ""}]
