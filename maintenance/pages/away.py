"""A thing sent away: to whom, what stands in for it, back with its paper; three facts, three forms."""

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat, Component, Fitting
from fleet.pages.desk import Desk, at_base
from maintenance.jobs.actions import Task, WorkRefused
from maintenance.jobs.away import away_now, back_with_paper, lend_aboard, send_away, undo_last_step
from maintenance.pages import wording
from maintenance.pages.fields import PrintedDateField, day_field, sent_id
from maintenance.servicing.models import Due, ServiceInterval


class SentForm(forms.Form):
    """It leaves."""

    whom = forms.CharField(label="Sent to whom", max_length=120)
    day = day_field("Left on")
    wanted_back_on = day_field("Wanted back on", required=False)


class LentForm(forms.Form):
    """Another one stands in for it."""

    whom = forms.CharField(label="Lent by whom", max_length=120, required=False)
    serial = forms.CharField(label="Serial number of the lent one", max_length=80)
    good_through = day_field("Date on the lent one", required=False)
    day = day_field("Aboard since")


class BackForm(forms.Form):
    """It is back, and says until when."""

    day = day_field("Day of the service", "as its paper says")
    paper = forms.CharField(label="Number of its paper", max_length=120)
    printed = PrintedDateField(label="Date now printed on it", max_length=60, required=False)


FORMS: dict[str, type[forms.Form]] = {"sent": SentForm, "lent": LentForm, "back": BackForm}


@at_base("record work")
def away(request: HttpRequest, desk: Desk, component: int) -> HttpResponse:
    """Where a thing is; sending it away does not tick its task off, its paper does."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    here = Fitting.objects.standing().filter(component__pk=component, removed_on__isnull=True, boat__in=boats)
    stay = get_object_or_404(here.select_related("component__kind", "boat"))
    what = request.POST.get("what", "")
    if what == "undo" and (last := undo_last_step(stay.component, at=desk.now, by=desk.person)):
        messages.success(request, f"{stay.component.kind.name} of {stay.boat.name}: “{last.step}” undone.")
        return redirect("away", base=desk.base.code, component=component)
    shown = {
        name: _form(name, stay.component, desk, request.POST if name == what else None) for name in FORMS
    }
    if what in FORMS and shown[what].is_valid() and (then := _done(what, shown[what], stay, desk, request)):
        return then
    now = away_now([component]).get(component)
    context = {
        "desk": desk,
        "here": "week",
        "stay": stay,
        "away": now,
        "client_id": uuid.uuid4().hex,
        "sheets": [(n, _TITLES[n], shown[n]) for n in (("lent", "back") if now else ("sent",))],
    }
    return render(request, "maintenance/away.html", context, status=422 if what else 200)


_TITLES = {
    "sent": ("It is sent away", "Sent away"),
    "lent": ("Another one is aboard instead", "Lent one aboard"),
    "back": ("It is back with its paper", "It is back"),
}


def _form(name: str, component: Component, desk: Desk, data: Any) -> forms.Form:
    form = FORMS[name](data, initial={"day": desk.today}, prefix=name)
    if name == "back":
        tasks = Due.objects.filter(component=component).values("interval")
        found = ServiceInterval.objects.filter(pk__in=tasks).order_by("code")
        form.fields["tasks"] = forms.ModelMultipleChoiceField(
            found,
            label="What was done",
            initial=found,
            widget=forms.CheckboxSelectMultiple,
            error_messages={"required": "What was done: wanted at least one"},
        )
        form.order_fields(["tasks"])
    return form


def _done(
    what: str, form: forms.Form, stay: Fitting, desk: Desk, request: HttpRequest
) -> HttpResponse | None:
    """Keeps the fact and says where to go on; None where it was refused and the form says why."""
    component, given = stay.component, dict(form.cleaned_data)
    try:
        if what == "back":
            tasks = [Task(component, interval) for interval in given.pop("tasks")]
            sent = sent_id(request.POST)
            job = back_with_paper(tasks, at=desk.now, by=desk.person, client_id=sent, **given)
            return redirect("job", base=desk.base.code, job=job.pk)
        keep = send_away if what == "sent" else lend_aboard
        keep(component, at=desk.now, by=desk.person, **given)
    except WorkRefused as refused:
        form.add_error(
            refused.field if refused.field in form.fields else None, wording.sentence(str(refused))
        )
        return None
    messages.success(request, f"{component.kind.name} of {stay.boat.name}: {_TITLES[what][1].lower()}.")
    return redirect("week", base=desk.base.code)
