"""What to take to one boat for the jobs and defects ticked, and the slip for the counter: it prints from
its address, ticks and all."""

from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from fleet.boats.models import Boat, Component
from fleet.charters.rules import LEAVES
from fleet.pages.desk import Desk, at_base
from maintenance.defects.models import Defect
from maintenance.pages import wording
from maintenance.pages.week_rows import state, thing
from maintenance.planning.facts import Job
from maintenance.planning.take_along import ForThing, Listed, PartLine, listed_of
from maintenance.planning.take_along import take_along as parts_along
from maintenance.planning.taking import NONE, Instead, Lies
from maintenance.spares.fits import Fit
from maintenance.spares.models import Spare

FITS = {
    Fit.YES: "fits, by its list",
    Fit.MAY: "may fit: not enough is recorded of this one, read the plate first",
    Fit.NO: "does not fit this one, by its list: do not take it before the plate is read",
    None: "",
}


@at_base("see")
def take_along(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """Her listed jobs and open defects, ticked; for those ticked, the parts, thing by thing."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    listed = listed_of(desk.base, ship, on=desk.today)
    jobs, defects = _ticked(listed, request)
    things = parts_along(ship, jobs, defects, on=desk.today)
    chosen = {job.due.pk for job in jobs}
    context = {
        "desk": desk,
        "here": "boats",
        "boat": ship,
        "when": _when(listed, desk),
        "jobs": [_job(job, chosen, desk) for job in listed.jobs],
        "never": [_job(job, chosen, desk) for job in listed.never],
        "defects": [_defect(defect, defect in defects) for defect in listed.defects],
        "things": [_thing(one) for one in things],
        "day": wording.day(desk.today),
        "printed": wording.moment(desk.now, desk.base.timezone),
    }
    return render(request, "maintenance/take_along.html", context)


def _ticked(listed: Listed, request: HttpRequest) -> tuple[list[Job], list[Defect]]:
    """What the address says is ticked; where it says nothing, all but what was never recorded."""
    if "ticked" not in request.GET:
        return list(listed.jobs), list(listed.defects)
    lines, rows = set(request.GET.getlist("line")), set(request.GET.getlist("defect"))
    jobs = [job for job in (*listed.jobs, *listed.never) if _line(job) in lines]
    return jobs, [defect for defect in listed.defects if str(defect.case) in rows]


def _line(job: Job) -> str:
    return f"{job.due.component_id}-{job.due.interval_id}"


def _when(listed: Listed, desk: Desk) -> str:
    charter = listed.charter
    if charter is None:
        return "No charter is booked: what falls due within a week is listed."
    day, hour = wording.day(charter.starts_on, desk.today), wording.clock(charter.leaves_at or LEAVES)
    back = wording.day(charter.ends_on, desk.today)
    return f"She leaves {day} {hour}: what falls due before she is back on {back} is listed."


def _job(job: Job, chosen: set[int], desk: Desk) -> dict[str, Any]:
    return {
        "line": _line(job),
        "task": job.due.interval.task,
        "thing": thing(job),
        "day": wording.day(job.due.due_on, desk.today),
        "state": state(job.due, desk.today),
        "ticked": job.due.pk in chosen,
        "takes": len(job.take),
    }


def _defect(defect: Defect, ticked: bool) -> dict[str, Any]:
    kind = defect.component.kind.name if defect.component else ""
    return {"case": defect.case, "words": defect.words, "thing": kind, "ticked": ticked}


def _thing(one: ForThing) -> dict[str, Any]:
    return {
        "kind": one.component.kind.name,
        "position": one.position,
        "plate": _plate(one.component),
        "tasks": [job.due.interval.task for job in one.jobs],
        "defects": [defect.words for defect in one.defects],
        "parts": [_part(line) for line in one.parts],
    }


def _plate(component: Component) -> list[tuple[str, str]]:
    """Maker, model and serial number as they were written down; a blank is one to read off the plate."""
    read = (("Maker", component.maker), ("Model", component.model), ("Serial number", component.serial))
    return [(label, text) for label, text in read]


def _part(line: PartLine) -> dict[str, Any]:
    take, newest = line.take, line.order_as
    return {
        "spare": take.spare,
        "order_as": newest,
        "superseded": newest != take.spare,
        "quantity": _many(line.asked, take.spare),
        "places": [_place(lie) for lie in take.lies],
        "fit": FITS[take.fit],
        "fit_wrong": take.fit is Fit.NO,
        "short": _short(line),
        "instead": [_instead(one) for one in take.instead],
    }


def _many(number: Decimal | None, spare: Spare) -> str:
    if number is None:
        return ""
    unit = f" {spare.unit}" if spare.unit not in ("", "each") else ""
    return f"{wording.quantity(number)}{unit}"


def _place(lie: Lies) -> str:
    """Where it lies, how many, and how many of them are past their day."""
    text = f"{lie.place}: {wording.quantity(lie.good)}"
    return text if not lie.run_out else f"{text}, and {wording.quantity(lie.run_out)} past the last good day"


def _short(line: PartLine) -> str:
    if line.asked is None or line.short == NONE:
        return ""
    said = f"{wording.quantity(line.short)} short"
    return said if line.in_all == line.asked else f"{said}: {wording.quantity(line.in_all)} wanted in all"


def _instead(one: Instead) -> str:
    number = f" {one.spare.part_number}" if one.spare.part_number else ""
    where = "; ".join(_place(lie) for lie in one.lies if lie.good > NONE)
    return f"{one.spare.name}{number} ({one.why}), {where}"
