"""One row of a boat's list: the job, why it is on it, what it takes and from where, what comes too late."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from maintenance.jobs.away import Away
from maintenance.ordering.late_parts import Late
from maintenance.pages import wording
from maintenance.planning.facts import Job, Visit
from maintenance.planning.taking import Take
from maintenance.servicing.models import Due
from maintenance.spares.fits import Fit
from maintenance.spares.models import Spare


def row(job: Job, v: Visit, on: date, late: Sequence[Late] = ()) -> dict[str, Any]:
    due = job.due
    leaves, ends = (v.charter.starts_on, v.charter.ends_on) if v.charter else (None, None)
    return {
        "line": line(due),
        "task": due.interval.task,
        "thing": thing(job),
        "critical": due.interval.critical,
        "why": wording.why(due, on, leaves, ends),
        "governs": due.governs or "",
        "day": wording.day(due.due_on, on),
        "state": state(due, on),
        "minutes": wording.minutes(due.interval.minutes),
        "takes": [take(t) for t in job.take],
        "late": [late_says(one, on) for one in late],
        "away": job.away,
        "lent_short": lent_short(job.away, ends),
        "component": due.component,
    }


def line(due: Due) -> str:
    """What a row is called in forms and addresses."""
    return f"{due.component_id}-{due.interval_id}"


def lent_short(away: Away | None, ends: date | None) -> bool:
    """Whether the lent one aboard runs out before the next charter ends."""
    good = away.lent.good_through if away and away.lent else None
    return good is not None and ends is not None and good < ends


def thing(job: Job) -> str:
    """The kind, and where it is where there are several."""
    where = job.position or (job.meter if job.meter != "main" else "")
    return job.due.component.kind.name + (f", {where}" if where else "")


def state(due: Any, on: date) -> str:
    """A word for how a line stands."""
    if due.overdue and due.basis == "expected":
        return "expected past"
    if due.overdue:
        return "overdue"
    return "before she leaves" if due.before_handover else ""


def take(t: Take) -> str:
    """Two impeller kits from the store; or that none is on the book, and what lies there instead."""
    unit = f" {t.spare.unit}" if t.spare.unit not in ("", "each") else ""
    text = f"{wording.quantity(t.quantity)}{unit} {_called(t.spare)}"
    where = "none on the book" if t.place is None else f"{t.place}{'' if t.there else ', not enough'}"
    fit = ", does not fit by its list" if t.fit is Fit.NO else ""
    others = [f"or {_called(one.spare)} ({one.lies[0].place})" for one in t.instead[:1]]
    return " ".join([f"{text} ({where}{fit})", *others])


def _called(spare: Spare) -> str:
    return f"{spare.name} {spare.part_number}".rstrip()


def late_says(late: Late, on: date) -> str:
    """One missing, and on which day it can be here."""
    text = f"{late.spare.name}: {wording.quantity(late.missing)} missing"
    not_sent = ", written down, not sent" if late.written else ", not ordered"
    ordered = "" if late.ordered else not_sent
    after = "after she leaves" if late.leaves else "after its limit"
    return wording.sentence(f"{text}{ordered}, here {wording.day(late.here_on, on)} at the earliest, {after}")
