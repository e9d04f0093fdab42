"""One reported thing: how it ends, and the way back from that."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.ledger import take_back
from fleet.pages.desk import Desk, at_base
from maintenance.defects.actions import end_defect
from maintenance.defects.models import ENDINGS, Defect, DefectStep
from maintenance.pages import wording


class EndForm(forms.Form):
    """How a defect ended, who did it, what was found."""

    step = forms.ChoiceField(label="It was", choices=[(step, step) for step in ENDINGS])
    who = forms.CharField(label="Who says so", max_length=120)
    why = forms.CharField(label="What was found or done", max_length=500, required=False)


@at_base("see", post="put a defect right")
def defect(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """What was reported, and how it ended or is to end."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    row = get_object_or_404(Defect.objects.standing().select_related("boat"), pk=defect, boat__in=boats)
    ended = DefectStep.objects.standing().filter(defect=row, step__in=ENDINGS).last()
    if ended is not None:
        return _ended(request, row, ended, desk)
    form = EndForm(request.POST or None, initial={"who": desk.person.name})
    if request.method == "POST" and form.is_valid():
        end_defect(row, at=desk.now, by=desk.person, **form.cleaned_data)
        messages.success(request, f"{row.boat.name}: “{row.words}” {form.cleaned_data['step']}.")
        return redirect("week", base=desk.base.code)
    context = _said(row, desk) | {"form": form, "send": "Record it"}
    return render(request, "maintenance/form.html", context, status=422 if form.is_bound else 200)


def _said(row: Defect, desk: Desk) -> dict[str, Any]:
    by = f" by {row.reporter}" if row.reporter else ""
    when = wording.moment(row.found_at, desk.base.timezone)
    return {
        "desk": desk,
        "here": "week",
        "heading": f"{row.boat.name}: {row.words}",
        "lede": f"Reported {when}{by}.",
    }


def _ended(request: HttpRequest, row: Defect, ended: DefectStep, desk: Desk) -> HttpResponse:
    """How it ended; today that can be undone, and it is open again."""
    today = desk.is_today(ended.recorded_at)
    if request.method == "POST" and request.POST.get("what") == "all" and today:
        take_back(ended, at=desk.now, by=desk.person)
        messages.success(request, f"{row.boat.name}: “{row.words}” is open again.")
        return redirect("defect", base=desk.base.code, defect=row.pk)
    when = wording.moment(ended.recorded_at, desk.base.timezone)
    item = {"text": f"{wording.sentence(ended.step)}, {when}, {ended.by}", "why": ended.why}
    context = _said(row, desk) | {
        "groups": [{"title": "How it ended", "items": [item]}],
        "undo": request.path if today and desk.may("put a defect right") else None,
        "undo_text": "Undo it: it is open again",
    }
    return render(request, "maintenance/answer.html", context)
