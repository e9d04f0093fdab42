"""The printed dates that do not hold until she is back, as they stand beside the week's work."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from fleet.pages.desk import Desk
from maintenance.pages import date_wording
from maintenance.planning.dated import audit_of
from maintenance.planning.facts import Visit
from maintenance.safety.audit import EXPIRED, RUNS_OUT, Line

Short = Mapping[int, Sequence[Line]]


def short_dates(desk: Desk, boat: int | None = None) -> Short:
    """What has expired or runs out before she is back, by boat, in a fixed number of queries."""
    found: dict[int, list[Line]] = defaultdict(list)
    for line in audit_of(desk.base, on=desk.today, now=desk.now, boat=boat).lines:
        if line.state in (EXPIRED, RUNS_OUT):
            found[line.thing.boat].append(line)
    return found


def apart(lines: Iterable[Line], v: Visit) -> list[dict[str, Any]]:
    """Those that no job of the list speaks of: a task that goes by the printed date says it itself."""
    told = {job.due.component_id for job in (*v.jobs, *v.never) if job.due.governs == "expiry"}
    return [
        {
            "thing": date_wording.thing(line),
            "what": line.expected.what,
            "says": date_wording.date_said(line, v.on),
            "component": line.thing.component,
        }
        for line in lines
        if line.thing.component not in told
    ]
