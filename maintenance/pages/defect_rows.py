"""The report an address means, how it is headed, and what a page about it starts from."""

import uuid
from collections.abc import Callable
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Model, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from fleet.boats.models import Boat
from fleet.ledger import latest, once
from fleet.pages.desk import Desk
from fleet.pages.typed import line_field, say
from fleet.refused import Refused
from maintenance.defects.facts import came_up_of, deferrals_of, earlier, laid_up, waits_of, went_out
from maintenance.defects.models import ENDINGS, Defect, DefectStep
from maintenance.defects.rules import Waits
from maintenance.pages.fields import sent_id
from maintenance.pages.reported import stands, where
from maintenance.servicing.following import positions

SHORT = 90  # letters of a report in a heading: the whole of it stands below


def boats_of(desk: Desk) -> Any:
    return Boat.objects.of_base(desk.base.pk, desk.today).values("pk")


def row_of(defect: int, desk: Desk) -> Any:
    """The row that stands for the one an address names, through its corrections: judged, with how it
    waits and what it comes up again after; 404 where it is not of this base's boats."""
    named = get_object_or_404(Defect, pk=defect, boat__in=boats_of(desk))
    rows = (
        Defect.objects.standing()
        .judged()
        .select_related("boat", "charter", "place__parent", "component__kind")
    )
    case = latest(named).case  # another one where it was moved to another boat
    row: Any = get_object_or_404(rows, Q(pk=case) | Q(first=case))
    row.deferral = deferrals_of([row.case]).get(row.case)
    row.waits = _waits(row, desk) if row.deferral else None
    row.again = earlier(row, came_up_of(desk.base, [row.boat_id])[row.boat_id])
    row.found_on = desk.base.day_of(row.found_at)
    return row


def _waits(row: Any, desk: Desk) -> Waits:
    boat = row.boat_id
    out, laid = went_out([boat], desk.today), laid_up([boat], desk.today)
    return waits_of(row.deferral, out[boat], laid[boat])


def end_of(row: Defect) -> DefectStep | None:
    """What ended a report; for one joined to another, what ended that one."""
    case = row.same_as_id or row.case
    step: DefectStep | None = DefectStep.objects.standing().filter(defect=case, step__in=ENDINGS).last()
    return step


def short(words: str) -> str:
    """The beginning of a report, in one line; what stands below the words is left there."""
    line = " ".join(words.split("\n\n")[0].split())
    return line if len(line) <= SHORT else line[:SHORT].rstrip() + " …"


def where_of(row: Defect) -> str:
    return where(row, positions([row.boat_id]).get(row.component_id or 0, ""))


def who_field(label: str) -> forms.CharField:
    """A named person, who need not be the one signed in."""
    return line_field(label, "a name", most=120, help_text="by name; type over it where it is somebody else")


def kept_once(model: type[Model], request: HttpRequest, form: forms.Form, keep: Callable[..., Any]) -> Any:
    """Keeps what a form says, once by the id it was opened with; None where it was refused, which then
    stands at the field it is about."""
    client_id = sent_id(request.POST)
    known = model._default_manager.filter(client_id=client_id or "").first
    try:
        return once(known, lambda: keep(client_id=client_id))
    except (Refused, ValidationError) as refused:
        say(form, refused)
        return None


def act_page(
    request: HttpRequest, row: Any, desk: Desk, form: forms.Form | None, *, heading: str, **more: Any
) -> HttpResponse:
    """A page with one thing to do about a defect."""
    context = {
        "desk": desk,
        "here": "defects",
        "defect": row,
        "heading": heading,
        "stands": stands(row, desk.today),
        "where": where_of(row),
        "form": form,
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
        "back": reverse("defect", args=[desk.base.code, row.pk]),
        "back_says": "Back to the defect",
    }
    template = more.pop("template", "maintenance/act.html")
    wrong = form is not None and form.is_bound
    return render(request, template, context | more, status=422 if wrong else 200)
