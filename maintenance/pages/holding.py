"""Holding a boat by name, and lifting it: one form each, as short as the act."""

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.ledger import once
from fleet.pages.desk import Desk, at_base
from maintenance.pages.fields import sent_id
from maintenance.pages.worded import name_field, words_field
from maintenance.release.actions import HoldLifted, hold_boat, lift_hold
from maintenance.release.models import Hold


class HoldForm(forms.Form):
    """Why, and who says so."""

    why = words_field("Why she stays in", "the reason", rows=3)
    who = name_field("Who holds her")


class LiftForm(forms.Form):
    """Why it holds no more, and who says so."""

    why = words_field("Why she may go", "the reason", rows=3)
    who = name_field("Who lifts it")


@at_base("release a boat")
def hold(request: HttpRequest, desk: Desk, boat: int) -> HttpResponse:
    """Keeps a boat in by name; sent twice she is held once."""
    ship = get_object_or_404(Boat.objects.of_base(desk.base.pk, desk.today), pk=boat)
    form = HoldForm(request.POST or None, initial={"who": desk.person.name})
    if request.method == "POST" and form.is_valid():
        client_id = sent_id(request.POST)
        said = form.cleaned_data | {"at": desk.now, "by": desk.person, "client_id": client_id}
        known = Hold.objects.filter(client_id=client_id or "").first
        once(known, lambda: hold_boat(ship, **said))
        messages.success(request, f"{ship.name} is held: {form.cleaned_data['why']}")
        return redirect("boat", base=desk.base.code, boat=ship.pk)
    heading = f"Hold {ship.name}"
    lede = "She goes out for no charter until it is lifted by name. Any release she has falls."
    return _page(request, desk, ship, form, heading=heading, lede=lede, send="Hold her")


@at_base("release a boat")
def lift(request: HttpRequest, desk: Desk, hold: int) -> HttpResponse:
    """Lifts a hold by name, with the reason."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    row = get_object_or_404(Hold.objects.select_related("boat"), pk=hold, boat__in=boats)
    if row.lifted or row.void or hasattr(row, "replaced_by"):
        messages.info(request, f"{row.boat.name}: that hold was lifted already.")
        return redirect("boat", base=desk.base.code, boat=row.boat_id)
    form = LiftForm(request.POST or None, initial={"who": desk.person.name})
    if request.method == "POST" and form.is_valid():
        _lift(request, row, form.cleaned_data, desk)
        return redirect("boat", base=desk.base.code, boat=row.boat_id)
    heading, lede = f"Lift the hold of {row.boat.name}", f"{row.by} holds her: {row.why}"
    return _page(request, desk, row.boat, form, heading=heading, lede=lede, send="Lift it")


def _lift(request: HttpRequest, row: Hold, said: dict[str, Any], desk: Desk) -> None:
    try:
        lift_hold(row, at=desk.now, by=desk.person, **said)
    except HoldLifted:
        messages.info(request, f"{row.boat.name}: that hold was lifted already.")
    else:
        messages.success(request, f"{row.boat.name}: the hold is lifted. She is to be released again.")


def _page(request: HttpRequest, desk: Desk, ship: Boat, form: forms.Form, **more: Any) -> HttpResponse:
    context = more | {
        "desk": desk,
        "here": "boats",
        "boat": ship,
        "form": form,
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
    }
    return render(request, "maintenance/hold.html", context, status=422 if form.is_bound else 200)
