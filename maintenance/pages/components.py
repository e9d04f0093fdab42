"""One component: where it has been, what was done to it, and moving it to another boat."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.actions import FittingRefused
from fleet.boats.models import Boat, Component, Fitting, Meter, PrintedDate
from fleet.meters.actions import ReadingGoesBackwards
from fleet.pages.desk import Desk, at_base
from maintenance.jobs.refitting import NewPlace, move_part
from maintenance.pages import wording
from maintenance.pages.fields import day_field, hours_field
from maintenance.servicing.models import Service

SAME = "same"


class MoveForm(forms.Form):
    """To which boat, when, by which meter, and what the dials showed."""

    on = day_field("Moved on")
    dial_removed = hours_field("Hour meter where it comes from", "may stay blank: the last reading counts")
    position = forms.CharField(label="Where aboard", max_length=60, required=False)
    dial = hours_field("Hour meter where it goes", "may stay blank: the last reading counts")
    why = forms.CharField(label="Why", max_length=200)

    def __init__(self, stay: Fitting, desk: Desk, data: Any = None) -> None:
        super().__init__(data, initial={"on": desk.today, "position": stay.position, "meter": SAME})
        self.stay = stay
        boats = Boat.objects.of_base(desk.base.pk, desk.today).exclude(pk=stay.boat_id).order_by("name")
        meters = Meter.objects.filter(boat__in=boats.values("pk")).select_related("boat")
        choices = [
            (SAME, "the meter of the same name"),
            ("", "no hour meter"),
            *((m.pk, f"{m.boat.name}, {m.name}") for m in meters),
        ]
        self.fields["boat"] = forms.ModelChoiceField(boats, label="To which boat")
        self.fields["meter"] = forms.ChoiceField(label="It then runs on", choices=choices, required=False)
        self.order_fields(["boat", "on", "dial_removed", "meter", "position", "dial", "why"])

    def place(self) -> NewPlace:
        data = self.cleaned_data
        meter = self._meter(data["boat"], data["meter"])
        return NewPlace(data["boat"], meter, data["position"], data["dial_removed"], data["dial"])

    def _meter(self, boat: Boat, chosen: str) -> Meter | None:
        """The meter chosen; by the same name where she has it, or her only one."""
        if chosen != SAME:
            return Meter.objects.filter(pk=chosen).first() if chosen else None
        meters = list(boat.meters.all()) if self.stay.meter else []
        same = [m for m in meters if self.stay.meter and m.name == self.stay.meter.name]
        return next(iter(same or (meters if len(meters) == 1 else [])), None)


@at_base("see", post="record work")
def component(request: HttpRequest, desk: Desk, component: int) -> HttpResponse:
    """The history of one part; its hours and services go along when it moves."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    stays = Fitting.objects.standing().filter(
        component__pk=component, removed_on__isnull=True, boat__in=boats
    )
    stay = get_object_or_404(stays.select_related("component__kind", "boat", "meter"))
    form = MoveForm(stay, desk, request.POST or None)
    if request.method == "POST" and form.is_valid() and (said := _move(stay.component, form, desk)):
        messages.success(request, said)
        return redirect("component", base=desk.base.code, component=component)
    context = {"desk": desk, "here": "boats", "stay": stay, "form": form, "may_work": desk.may("record work")}
    return render(
        request,
        "maintenance/component.html",
        context | _history(stay.component),
        status=422 if form.is_bound else 200,
    )


def _move(part: Component, form: MoveForm, desk: Desk) -> str | None:
    data = form.cleaned_data
    try:
        moved = move_part(part, form.place(), on=data["on"], why=data["why"], at=desk.now, by=desk.person)
    except (FittingRefused, ReadingGoesBackwards) as refused:
        field, _, _ = str(refused).partition(":")
        form.add_error(field if field in form.fields else None, wording.sentence(str(refused)))
        return None
    days = wording.sentence(wording.many(len(moved), "due day"))
    return f"{part.kind.name} is now on {data['boat'].name}. {days} moved."


def _history(part: Component) -> dict[str, Any]:
    services = Service.objects.standing().filter(component=part).select_related("interval", "recorded_by")
    return {
        "stays": Fitting.objects.standing()
        .filter(component=part)
        .select_related("boat", "meter")
        .order_by("fitted_on"),
        "services": services.order_by("-done_on", "-pk")[:50],
        "dates": PrintedDate.objects.standing().filter(component=part),
    }
