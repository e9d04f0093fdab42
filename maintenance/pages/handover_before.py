"""What comes before a handover: the three acts, the work and dates not done, what came since the release."""

from typing import Any
from urllib.parse import urlencode

from django.urls import reverse

from fleet.charters.models import Charter
from fleet.pages.desk import Desk
from maintenance.pages import wording
from maintenance.pages.told import told_said
from maintenance.release.since import since_released
from maintenance.turnaround.handing_over import Readiness
from maintenance.turnaround.telling import release_in_force


def steps(ready: Readiness, row: Charter, desk: Desk) -> list[dict[str, Any]]:
    """The three that come before, each done or not, with the page that does it."""
    args, turn = {"base": desk.base.code, "boat": row.boat_id}, ready.turn
    back = reverse("return", kwargs=args) + (f"?charter={turn.last.code}" if turn.last else "")
    said = told_said(ready.told, desk.base.timezone)
    never_out = "never out before" if turn.last is None else ""
    release = release_in_force(ready.judged)
    fell = "fell: something came up since it was given" if ready.judged.standing.fell else "not released"
    return [
        {
            "name": "Return inspected",
            "done": turn.is_inspected,
            "says": never_out or (said["inspected"] if turn.inspected else "not inspected"),
            "link": back if turn.last else "",
            "act": "Take her back",
        },
        {
            "name": "Round signed",
            "done": turn.signed is not None,
            "says": said["round"] if turn.signed else ("begun, not signed" if turn.begun else "not signed"),
            "link": reverse("round", kwargs=args),
            "act": "Walk the round",
        },
        {
            "name": "Released",
            "done": release is not None,
            "says": said["released"] if release else fell,
            "link": reverse("release", kwargs=args),
            "act": "Release her",
        },
    ]


def undone(ready: Readiness, row: Charter, desk: Desk) -> list[dict[str, str]]:
    """Her work and dates that are not done, each with the page that does it."""
    return [job | {"link": _link(job, row, desk)} for job in ready.told["open_jobs"]]


def _link(job: dict[str, str], row: Charter, desk: Desk) -> str:
    base = desk.base.code
    if job["line"] and desk.may("record work"):
        return f"{reverse('work', args=[base, row.boat_id])}?{urlencode({'line': job['line']})}"
    if job["component"]:
        return reverse("component", args=[base, job["component"]])
    return reverse("boat", args=[base, row.boat_id])


def since(ready: Readiness, desk: Desk) -> dict[str, Any]:
    """What was reported or put right since she was released, and when that was; nothing where nothing was."""
    release, said = ready.judged.release, since_released(ready.judged)
    if release is None or not said:
        return {}
    return {"at": wording.moment(release.recorded_at, desk.base.timezone), "said": said}
