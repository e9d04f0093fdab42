"""Worn-out units of exchange parts: what is to go back to whom, since when, and that it went."""

import uuid
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.ledger import once
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.pages import wording
from maintenance.pages.fields import MOST_PARTS, NumberField, day_field, row_number, sent_id
from maintenance.pages.stores import stores_of
from maintenance.pages.worded import words_field
from maintenance.spares.cores import CoreDue, cores_due, send_core_back, take_back_core
from maintenance.spares.models import QUANTITY, CoreBack

LAST = 20  # that went back are shown


class BackForm(forms.Form):
    """How many went back, when, with which paper."""

    quantity = NumberField(
        wanted="how many went back, above 0",
        places=QUANTITY["decimal_places"],
        most=MOST_PARTS,
        label="How many",
    )
    day = day_field("Day")
    words = words_field(
        "Words", most=200, required=False, help_text="to whom, by which paper: what proves it later"
    )


@at_base("see", post="count stock")
def cores(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Each owed, the longest first, and what went back lately."""
    places = list(stores_of(desk).places)
    due = cores_due(desk.base.pk, places)
    if request.method == "POST" and "undo" in request.POST:
        return _take_back(request, desk)
    one = next((each for each in due if str(each.spare.pk) == request.POST.get("spare", "")), None)
    if request.method == "POST" and one is None:
        messages.info(request, "None of that part is to go back: it is written down already.")
        return redirect("cores", base=desk.base.code)
    form = BackForm(request.POST, prefix=f"core-{one.spare.pk}") if one is not None else None
    if (
        one is not None
        and form is not None
        and form.is_valid()
        and (row := _keep(request, form, one, places, desk))
    ):
        number = wording.quantity(row.quantity)
        messages.success(request, f"{row.spare}: {number} went back on {wording.day(row.day, desk.today)}.")
        return redirect("cores", base=desk.base.code)
    rows = CoreBack.objects.standing().filter(base=desk.base).select_related("spare", "recorded_by")
    context = {
        "desk": desk,
        "here": "spares",
        "form": form,
        "rows": [_row(each, desk, form if each == one else None) for each in due],
        "back": [(row, desk.is_today(row.recorded_at)) for row in rows.order_by("-day", "-pk")[:LAST]],
        "may_count": desk.may("count stock"),
    }
    return render(request, "maintenance/cores.html", context, status=422 if form else 200)


def _row(due: CoreDue, desk: Desk, sent: BackForm | None) -> dict[str, Any]:
    first = {"quantity": wording.quantity(due.quantity), "day": desk.today}
    return {
        "due": due,
        "days": (desk.today - due.since).days,
        "form": sent or BackForm(initial=first, prefix=f"core-{due.spare.pk}"),
        "client_id": uuid.uuid4().hex,
    }


def _keep(
    request: HttpRequest, form: BackForm, due: CoreDue, places: list[int], desk: Desk
) -> CoreBack | None:
    client_id = sent_id(request.POST)
    said = form.cleaned_data | {"base": desk.base, "places": places, "client_id": client_id}
    known = CoreBack.objects.filter(client_id=client_id or "", base=desk.base).first
    try:
        return once(known, lambda: send_core_back(due.spare, at=desk.now, by=desk.person, **said))
    except (Refused, ValidationError) as refused:
        say(form, refused)
        return None


def _take_back(request: HttpRequest, desk: Desk) -> HttpResponse:
    rows = CoreBack.objects.filter(base=desk.base, void=False).select_related("spare")
    row = get_object_or_404(rows, pk=row_number(request.POST["undo"]))
    if desk.is_today(row.recorded_at):
        take_back_core(row, at=desk.now, by=desk.person)
        messages.success(
            request, f"{row.spare}: taken back, {wording.quantity(row.quantity)} did not go back."
        )
    else:
        messages.error(request, f"{row.spare}: not taken back, it was written down on another day.")
    return redirect("cores", base=desk.base.code)
