"""Correcting a reading that is in use: what was written stays, another dial counts."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.meters.actions import ReadingGoesBackwards
from fleet.meters.models import Reading
from fleet.pages.desk import Desk, at_base
from maintenance.pages import wording
from maintenance.pages.fields import hours_field
from maintenance.turnaround.doubts import correct, put_aside


class CorrectForm(forms.Form):
    """The dial it should have been; blank sets the reading aside."""

    dial = hours_field("It showed", "hours; leave it blank to set the reading aside")


@at_base("record a reading")
def correct_reading(request: HttpRequest, desk: Desk, used: int) -> HttpResponse:
    """One reading in use, and the dial that counts instead."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows = Reading.objects.standing().filter(standing=Reading.Standing.USED, meter__boat__in=boats)
    row = get_object_or_404(rows.select_related("meter__boat"), pk=used)
    form = CorrectForm(request.POST or None, initial={"dial": wording.hours(row.dial)})
    if request.method == "POST" and form.is_valid() and (said := _correct(row, form, desk)):
        messages.success(request, said)
        return redirect("boat", base=desk.base.code, boat=row.meter.boat_id)
    context = {
        "desk": desk,
        "here": "boats",
        "heading": f"{row.meter.boat.name}, {row.meter.name}: {wording.hours(row.dial)} h",
        "lede": f"Read {wording.day(row.day)}. What was written stays on the record.",
        "form": form,
        "send": "Correct it",
    }
    return render(request, "maintenance/form.html", context, status=422 if form.is_bound else 200)


def _correct(row: Reading, form: CorrectForm, desk: Desk) -> str | None:
    dial = form.cleaned_data["dial"]
    try:
        if dial is None:
            moved = put_aside(row, at=desk.now, by=desk.person)
        else:
            moved = correct(row, dial=dial, at=desk.now, by=desk.person)
    except ReadingGoesBackwards as wrong:
        form.add_error("dial", f"It showed: {wrong}")
        return None
    said = "set aside" if dial is None else f"now {wording.hours(dial)} h"
    days = wording.sentence(wording.many(len(moved), "due day"))
    return f"{row.meter.name} on {wording.day(row.day, desk.today)}: {said}. {days} moved."
