"""One call-out on a telephone: each step a tap, closed with what was put right and which parts it took."""

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.people.facts import workers
from fleet.people.roles import ENGINEER
from fleet.refused import Refused, TooLate
from maintenance.jobs.call_out import book_parts, close_call_out, say_step, take_back_last
from maintenance.jobs.models import CallOut, CallOutStep
from maintenance.jobs.under_way import UnderWay, ended_of, under_way
from maintenance.pages.alarm_wording import cannot_wait
from maintenance.pages.answers import wrong_day
from maintenance.pages.call_out_forms import FORMS, DoneForm, PartsLaterForm
from maintenance.pages.call_outs import hot_of, told
from maintenance.pages.clock_words import time_of, was_said
from maintenance.pages.fields import sent_id

Step = CallOutStep.Step
SAID = {
    Step.PROMISED: "Promised.",
    Step.ON_THE_WAY: "On the way.",
    Step.THERE: "There.",
    Step.DONE: "Done: the call-out is closed.",
    Step.NOT_NEEDED: "Nobody need go: the call-out is closed.",
}


@at_base("see", post="go out to a boat")
def call_out(request: HttpRequest, desk: Desk, call_out: int) -> HttpResponse:
    """How it stands, and the next step; a form that was not right comes back as it was typed."""
    row = get_object_or_404(_rows(desk), pk=call_out)
    what = request.POST.get("what", "")
    if what == "undo":
        return _undo(request, row, desk)
    u = under_way(row)
    forms_of = {name: _form(name, u, desk, request.POST if name == what else None) for name in FORMS}
    if what in forms_of and (answer := _sent(request, what, forms_of[what], u, desk)):
        return answer
    sent = request.method == "POST"
    if sent and what not in forms_of:
        messages.error(request, "Tap one of the steps below.")
    return render(
        request, "maintenance/call_out.html", _context(u, forms_of, what, desk), status=422 if sent else 200
    )


def _rows(desk: Desk) -> Any:
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    return CallOut.objects.standing().filter(boat__in=boats)


def _form(name: str, u: UnderWay, desk: Desk, data: Any) -> forms.Form:
    return FORMS[name](u, desk, data)


def _undo(request: HttpRequest, row: CallOut, desk: Desk) -> HttpResponse:
    try:
        last = take_back_last(row, at=desk.now, by=desk.person)
    except TooLate as late:
        return wrong_day(request, desk, str(late))
    if last is not None:
        more = " What was said of defects and parts stands." if last.step == Step.DONE else ""
        messages.success(request, f"“{last.step}” undone.{more}")
    return redirect("call-out", base=desk.base.code, call_out=row.pk)


def _sent(request: HttpRequest, what: str, form: forms.Form, u: UnderWay, desk: Desk) -> HttpResponse | None:
    """Keeps what was sent and says where to go on; None where it was refused and the form says why."""
    if not form.is_valid():
        return None
    more: dict[str, Any] = {"at": desk.now, "by": desk.person, "client_id": sent_id(request.POST)}
    try:
        if isinstance(form, PartsLaterForm):
            job = book_parts(u.call_out, form.used(), who=form.cleaned_data["who"], **more)
            return redirect("job", base=desk.base.code, job=job.pk)
        step = _keep(what, form, u, more)
    except Refused as refused:
        say(form, refused)
        return None
    messages.success(request, f"{u.call_out.boat.name}: {SAID[Step(step.step)]}")
    return redirect("call-out", base=desk.base.code, call_out=u.call_out.pk)


def _keep(what: str, form: forms.Form, u: UnderWay, more: dict[str, Any]) -> CallOutStep:
    given = form.cleaned_data
    if isinstance(form, DoneForm):
        right, used = list(given.get("put_right") or ()), form.used()
        return close_call_out(
            u.call_out, who=given["who"], words=given["words"], put_right=right, used=used, **more
        )
    step = given.get("step") or what
    said = {name: given[name] for name in ("who", "promised_at", "takes", "words") if name in given}
    return say_step(u.call_out, step, **said, **more)


def _context(u: UnderWay, forms_of: dict[str, forms.Form], what: str, desk: Desk) -> dict[str, Any]:
    gone = ended_of(u.defects)
    last, hot = u.last, hot_of(u)
    return {
        "desk": desk,
        "here": "week",
        "call": told(u, desk),
        "forms": forms_of,
        "not_needed": forms_of["not needed"],
        "refused": forms_of.get(what) if u.closed and what != "parts" else None,
        "step": last.step if last else "",
        "hot": hot,
        "cannot_wait": cannot_wait(d.alarm for d in hot) if hot else [],
        "engineers": engineers(desk),
        "defects": [(d, d.case in gone) for d in u.defects],
        "steps": [_step(s, desk) for s in u.steps],
        "may": desk.may("go out to a boat"),
        "may_parts": desk.may("record work"),
        "may_undo": last is not None and desk.is_today(last.recorded_at),
        "client_id": uuid.uuid4().hex,
    }


def engineers(desk: Desk) -> list[str]:
    """Whose names are offered where somebody goes: the base's engineers of today."""
    at = [one for one in workers(desk.base, desk.today) if one.here]
    return [one.person.name for one in at if any(held.role == ENGINEER for held in one.roles)]


def _step(step: CallOutStep, desk: Desk) -> dict[str, str]:
    zone = desk.base.timezone
    said = was_said(step.step, step.who, step.promised_at, desk.now, zone)
    takes = f"takes {step.takes}" if step.takes else ""
    beside = "; ".join(text for text in (takes, step.words) if text)
    return {"at": time_of(step.recorded_at, desk.now, zone), "says": said, "beside": beside}
