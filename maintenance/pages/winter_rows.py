"""The winter's list in its groups, each row with what it is and where it is done."""

from dataclasses import dataclass
from typing import Any

from maintenance.defects.hull import Touch
from maintenance.pages import date_wording, wording
from maintenance.pages.reported import told
from maintenance.planning.winter import Winter
from maintenance.safety.audit import Line
from maintenance.servicing.following import positions
from maintenance.servicing.models import Due


@dataclass(frozen=True, slots=True)
class Group:
    """A heading, a word of why these are here, and the rows by their sort."""

    title: str
    why: str
    sort: str
    rows: list[dict[str, Any]]


def groups_of(w: Winter) -> list[Group]:
    """Only groups that have something in them."""
    places = positions([w.boat.pk]) if w.tasks or w.season or w.critical or w.work else {}
    due = lambda rows: [_due(d, w, places) for d in rows]  # noqa: E731
    wrong = lambda rows: [told(d, w.on) for d in rows]  # noqa: E731
    groups = (
        Group("Tasks of the lay-up", "they come again while she is laid up", "due", due(w.tasks)),
        Group("Before the season", "each has a season to be done in", "due", due(w.season)),
        Group("Critical services", "due before the end of her first charter", "due", due(w.critical)),
        Group("Other work", "overdue, or due before the end of her first charter", "due", due(w.work)),
        Group("Deferred until lay-up", "settle them now", "defect", wrong(w.at_layup)),
        Group("Deferred otherwise", "", "defect", wrong(w.deferred)),
        Group("Not graded yet", "grade them first", "defect", wrong(w.ungraded)),
        Group("Other open defects", "", "defect", wrong(w.others)),
        Group("Watches", "looked at again out of the water", "defect", wrong(w.watches)),
        Group(
            "The hull",
            "she touched, and nobody has looked out of the water since",
            "touch",
            [_touch(t, w) for t in w.touches],
        ),
        Group(
            "Dates", "they do not hold until her next charter ends", "date", [_date(d, w) for d in w.dates]
        ),
    )
    return [group for group in groups if group.rows]


def _due(due: Due, w: Winter, places: dict[int, str]) -> dict[str, Any]:
    where = places.get(due.component_id, "")
    leaves, ends = (w.first.starts_on, w.first.ends_on) if w.first else (None, None)
    return {
        "line": f"{due.component_id}-{due.interval_id}",
        "task": due.interval.task,
        "thing": due.component.kind.name + (f", {where}" if where else ""),
        "why": wording.why(due, w.on, leaves, ends) if due.recorded else "Never recorded",
        "day": wording.day(due.due_on, w.on),
        "overdue": due.overdue,
    }


def _touch(touch: Touch, w: Winter) -> dict[str, Any]:
    how = [part for part in (touch.touched, touch.bottom, touch.force) if part != "not known"]
    said = f"{wording.day(touch.day, w.on)}: {', '.join(how) or 'how is not known'}"
    return {"says": said, "words": touch.words}


def _date(line: Line, w: Winter) -> dict[str, Any]:
    return {
        "component": line.thing.component,
        "thing": date_wording.thing(line),
        "what": line.expected.what,
        "says": date_wording.date_said(line, w.on),
    }
