"""Grading a defect on the phone: four tiles, what it touches, who says so; and taking that back today."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from fleet.pages.desk import Desk, at_base
from fleet.refused import Refused
from maintenance.defects.actions import grade_defect
from maintenance.defects.correcting import take_back_step
from maintenance.defects.deferring import take_back_deferral
from maintenance.defects.models import DefectStep
from maintenance.defects.rules import FUNCTIONS, GRADES, UNSAFE
from maintenance.pages import wording
from maintenance.pages.defect_rows import act_page, end_of, kept_once, row_of, short, who_field
from maintenance.pages.defect_story import photos_of
from maintenance.pages.defect_words import MEANS
from maintenance.pages.fields import row_number
from maintenance.pages.tiles import tiles_field
from maintenance.turnaround.facts import function_noted

TOUCHES = "charging, bilge, radio, raft or steering: two of these open together hold her"
CAUTION = (
    "A grade is what you decide, not a survey. Gas, fire, water coming in, steering, what holds the keel "
    "and the mast: the maker, a surveyor or a licensed fitter decides."
)


class GradeForm(forms.Form):
    """How bad it is, what it touches, and who says so."""

    grade = tiles_field(
        "Grade",
        [(grade, wording.sentence(grade)) for grade in GRADES],
        "unsafe, limits use, cosmetic or watch",
        means=MEANS,
    )
    function = tiles_field(
        "What it touches",
        [("", "None of these"), *((f, wording.sentence(f)) for f in FUNCTIONS)],
        "charging, bilge, radio, raft, steering or none",
        help_text=TOUCHES,
        required=False,
    )
    who = who_field("Who grades it")
    why = forms.CharField(label="Why", max_length=500, required=False, help_text="may stay blank")


@at_base("grade and defer")
def grade(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Says how bad it is; the last grade holds, the earlier ones stay in its history."""
    row = row_of(defect, desk)
    known = {
        "who": desk.person.name,
        "grade": row.grade,
        "function": row.function or function_noted(row.case),
    }
    form = GradeForm(request.POST or None, initial=known)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data

        def keep(client_id: str | None) -> DefectStep:
            return grade_defect(row, **given, at=desk.now, by=desk.person, client_id=client_id)

        if kept_once(DefectStep, request, form, keep) is not None:
            held = " It holds the boat." if given["grade"] == UNSAFE else ""
            messages.success(
                request, f"{row.boat.name}: “{short(row.words)}” is graded {given['grade']}.{held}"
            )
            return redirect("defect", base=desk.base.code, defect=row.pk)
    sent = ", ".join(
        word for word in (row.reporter, wording.moment(row.found_at, desk.base.timezone)) if word
    )
    more = {"send": "Grade it", "cautions": [CAUTION], "sent": sent, "photos": photos_of([row.case], desk)}
    return act_page(request, row, desk, form, heading=f"Grade: {row.boat.name}", **more)


@require_POST
@at_base("grade and defer")
def undo(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Takes back a grade or a deferral of today; it stays in the history as undone."""
    row = row_of(defect, desk)
    back = redirect("defect", base=desk.base.code, defect=row.pk)
    if (ended := end_of(row)) is not None:
        messages.error(request, f"It has ended: {ended.by} said “{ended.step}”. Undo that first.")
        return back
    try:
        messages.success(request, _undo(request, row, desk))
    except Refused as refused:
        messages.error(request, wording.sentence(refused.wanted) + ".")
    return back


def _undo(request: HttpRequest, row: Any, desk: Desk) -> str:
    number = row_number(request.POST.get("step", ""))
    graded = DefectStep.objects.standing().filter(defect=row.case, step=DefectStep.Step.GRADED)
    step = graded.filter(pk=number).first() if number is not None else None
    deferral = row.deferral
    named = row_number(request.POST.get("deferral", ""))
    if step is not None and desk.is_today(step.recorded_at):
        take_back_step(step, at=desk.now, by=desk.person)
        return "The grade is undone; it stays in the history."
    if deferral is not None and named == deferral.pk and desk.is_today(deferral.recorded_at):
        take_back_deferral(deferral, at=desk.now, by=desk.person)
        return "The deferral is undone; it stays in the history."
    raise Refused("There is nothing of today to undo: say what is true now instead")
