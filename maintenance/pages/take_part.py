"""A part taken from another boat for what is broken here: which ship has one, and one tap."""

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat, Component, Fitting
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import line_field, say
from fleet.refused import Refused
from maintenance.defects.models import Defect
from maintenance.defects.rules import GRADES
from maintenance.jobs.models import PartTaken
from maintenance.jobs.part_taken import Wanted, grade_without, take_part
from maintenance.pages.donors import Donor, donors_of, offered
from maintenance.pages.fields import row_number, sent_id

SHORT = 90  # letters of a report above the list


class TakeForm(forms.Form):
    """Who takes it; the rest is right for most."""

    who = line_field("Who takes it", "a name", most=120)
    put_right = forms.BooleanField(label="With it the defect here is put right", required=False)
    grade = forms.ChoiceField(
        label="How bad it is for the other boat to be without it",
        required=False,
        error_messages={"invalid_choice": f"How bad it is: wanted {', '.join(GRADES)}"},
    )

    def __init__(self, desk: Desk, follows: str, data: Any = None) -> None:
        super().__init__(data, initial={"who": desk.person.name, "put_right": True})
        choice: Any = self.fields["grade"]
        choice.choices = [("", f"as it follows: {follows}"), *((g, g) for g in GRADES)]


@at_base("put a defect right")
def part_for(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Sister ships that have the part, those in port with a button each; else which part it is."""
    row = _row(defect, desk)
    if not Defect.objects.open().filter(pk=row.pk).exists():
        messages.info(request, "That defect has ended already.")
        return redirect("defect", base=desk.base.code, defect=row.pk)
    broken = _broken(row, request.GET.get("thing", ""))
    if broken is None:
        return _ask_which(request, row, desk)
    donors = donors_of(desk, row.boat, broken.kind, broken)
    sent = request.method == "POST"
    form = TakeForm(desk, grade_without(broken.kind), request.POST if sent else None)
    if sent and form.is_valid() and (taken := _take(form, row, broken, donors, desk, request)):
        return redirect("part-taken", base=desk.base.code, taken=taken.pk)
    context = _said(row, desk) | {
        "form": form,
        "broken": broken,
        "gas": broken.kind.system.casefold() == "gas",
        "offered": offered(donors),
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
    }
    return render(request, "maintenance/take_part.html", context, status=422 if sent else 200)


def _row(defect: int, desk: Desk) -> Defect:
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows = Defect.objects.standing().select_related("boat", "component__kind")
    row: Defect = get_object_or_404(rows, pk=defect, boat__in=boats)
    return row


def _broken(row: Defect, thing: str) -> Component | None:
    """The part that is broken: the one chosen of hers, else the one the defect names."""
    chosen = row_number(thing)
    if not thing and row.component is not None:
        return row.component
    fitted = _fitted(row.boat).filter(component=chosen) if chosen is not None else Fitting.objects.none()
    stay = fitted.first()
    return stay.component if stay is not None else None


def _fitted(boat: Boat) -> Any:
    rows = Fitting.objects.standing().filter(boat=boat, removed_on__isnull=True)
    order = ("component__kind__system", "component__kind__name", "component__code")
    return rows.select_related("component__kind").order_by(*order)


def _ask_which(request: HttpRequest, row: Defect, desk: Desk) -> HttpResponse:
    if request.method == "POST":
        messages.error(request, "Part: wanted which part is broken.")
    context = _said(row, desk) | {"fitted": _fitted(row.boat)}
    status = 422 if request.method == "POST" else 200
    return render(request, "maintenance/take_which.html", context, status=status)


def _said(row: Defect, desk: Desk) -> dict[str, Any]:
    line = " ".join(row.words.split())
    short = line if len(line) <= SHORT else line[:SHORT].rstrip() + " …"
    return {"desk": desk, "here": "week", "defect": row, "words": short}


def _take(
    form: TakeForm, row: Defect, broken: Component, donors: list[Donor], desk: Desk, request: HttpRequest
) -> PartTaken | None:
    """Takes the part tapped; what was taken already by the same form is that."""
    given, client_id = form.cleaned_data, sent_id(request.POST)
    known = PartTaken.objects.filter(client_id=client_id).first() if client_id else None
    chosen = request.POST.get("component", "")
    part = next((d.stay.component for d in donors if str(d.stay.component_id) == chosen), None)
    if known is not None and known.to_boat_id == row.boat_id:
        return known
    if part is None or any(d.out_until for d in donors if d.stay.component == part):
        form.add_error(None, "Part: wanted a tap on one of the boats in port")
        return None
    wanted = Wanted(broken, row if given["put_right"] else None)
    said = {"who": given["who"], "grade": given["grade"], "client_id": client_id}
    try:
        return take_part(part, row.boat, wanted=wanted, at=desk.now, by=desk.person, **said)
    except Refused as refused:
        say(form, refused)
        return None
