"""A call from a boat that is away: where she lies, what is wrong, which contract's clock runs."""

import uuid
from datetime import timedelta
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import line_field, say
from fleet.refused import Refused
from maintenance.defects.facts import open_defects
from maintenance.defects.models import Defect
from maintenance.jobs.call_out import Call, open_call_out
from maintenance.jobs.models import CallOut
from maintenance.pages import wording
from maintenance.pages.alarm_wording import cannot_wait
from maintenance.pages.call_outs import happening_now
from maintenance.pages.fields import row_number, sent_id
from maintenance.pages.moments import moment_field
from maintenance.turnaround.at_sea import under_way

LATELY = timedelta(days=7)  # a charter that ended so long ago may still have been told of
SHORT = 90  # letters of a report in a choice


class DefectsField(forms.ModelMultipleChoiceField):
    """Open defects by how their words begin, what is happening now said first."""

    def label_from_instance(self, obj: Defect) -> str:
        line = " ".join(obj.words.split())
        begins = line if len(line) <= SHORT else line[:SHORT].rstrip() + " …"
        return f"HAPPENING NOW: {begins}" if happening_now(obj) else begins


class CharterField(forms.ModelChoiceField):
    """Charters by code, skipper and the day they are back."""

    def label_from_instance(self, obj: Charter) -> str:
        who = f", {obj.skipper}" if obj.skipper else ""
        return f"{obj.code}{who}, back {wording.day(obj.ends_on, obj.starts_on)}"


class NewForm(forms.Form):
    """What is asked on the telephone, in the order it is said."""

    where = line_field(
        "Where she lies",
        "where she lies, as said on the telephone",
        most=200,
        help_text="bay, quay, position",
    )
    phone = line_field("Number to ring", "a number", most=40, inputmode="tel")
    words = forms.CharField(
        label="What else is wrong",
        help_text="in their words; it is kept as a report of its own",
        required=False,
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3, "dir": "auto"}),
        error_messages={"max_length": "What else is wrong: wanted at most 2000 letters"},
    )
    reporter = line_field("Who told it", "a name", most=120)
    told_at = moment_field("Told at", "the day and hour it was told", "the contract's clock runs from here")

    def __init__(self, boat: Boat, desk: Desk, data: Any = None, chosen: int | None = None) -> None:
        out = under_way(boat, desk.base, desk.now)
        known = open_defects([boat.pk])
        self.chosen = next((row for row in known if row.pk == chosen), None)
        told = self.chosen.found_at if self.chosen and self.chosen.found_at <= desk.now else desk.now
        super().__init__(data, initial={"told_at": told, "charter": out, "defects": [chosen]})
        self.out = out
        for name in ("phone", "reporter"):
            self.fields[name].required = False
        defects = DefectsField(
            known,
            label="What is wrong",
            required=False,
            widget=forms.CheckboxSelectMultiple,
            error_messages={"invalid_choice": "What is wrong: wanted those of the list, open still"},
        )
        charters = Charter.objects.booked().filter(
            boat=boat, starts_on__lte=desk.today, ends_on__gte=desk.today - LATELY
        )
        charter = CharterField(
            charters.order_by("-starts_on"),
            label="Charter",
            required=False,
            empty_label="none: an own trip, no clock",
            error_messages={"invalid_choice": "Charter: wanted one of the list, or none"},
        )
        if known.exists():
            self.fields["defects"] = defects
        else:
            self.fields["words"].label = "What is wrong"
        self.fields["charter"] = charter
        self.order_fields(["where", "phone", "defects", "words", "reporter", "charter", "told_at"])


@at_base("go out to a boat")
def new_call_out(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """Opens a call-out; the boat's open defects stand there to be ticked."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    form = NewForm(ship, desk, request.POST or None, row_number(request.GET.get("defect", "")))
    sent = request.method == "POST"
    if sent and form.is_valid() and (row := _open(form, ship, desk, sent_id(request.POST))):
        return redirect("call-out", base=desk.base.code, call_out=row.pk)
    context = {
        "desk": desk,
        "here": "week",
        "boat": ship,
        "form": form,
        "cannot_wait": cannot_wait([form.chosen.alarm] if form.chosen else ()),
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
    }
    return render(request, "maintenance/new_call_out.html", context, status=422 if sent else 200)


def _open(form: NewForm, boat: Boat, desk: Desk, client_id: str | None) -> CallOut | None:
    given = dict(form.cleaned_data)
    call = Call(given.pop("where"), given.pop("told_at"), given.pop("phone"))
    given["defects"] = list(given.get("defects") or ())
    try:
        return open_call_out(boat, call, at=desk.now, by=desk.person, client_id=client_id, **given)
    except Refused as refused:
        say(form, refused)
        return None
