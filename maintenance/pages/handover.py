"""Handing a boat over: what is done and what is not, what will be told, the name under it; then the sheet."""

import json
import uuid
from hashlib import sha256
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.pages.desk import Desk, at_base
from maintenance.jobs.actions import TooLateToTakeBack
from maintenance.pages import handover_before, wording
from maintenance.pages.answers import wrong_day
from maintenance.pages.fields import row_number, sent_id
from maintenance.pages.told import NOT_RECORDED, told_said
from maintenance.pages.worded import name_field, words_field
from maintenance.turnaround.facts import handed_before, handover_of
from maintenance.turnaround.handing_over import (
    HandedOver,
    HandoverRefused,
    Readiness,
    hand_over,
    readiness_of,
    refuse_charter,
    take_back_handover,
)
from maintenance.turnaround.models import Handover

CHANGED = "What is to be told changed while this page was open: read it again below, then hand her over"


class HandoverForm(forms.Form):
    """Who hands her over, and why where something was not done."""

    who = name_field("Who hands her over")

    def __init__(self, ready: Readiness, desk: Desk, data: Any) -> None:
        super().__init__(data, initial={"who": desk.person.name})
        if ready.not_done:
            why = words_field("Why all the same", "why she goes all the same", rows=2)
            why.help_text = f"it prints with “{', '.join(ready.not_done)}”"
            self.fields["why"] = why


@at_base("see", post="hand over")
def handover(request: HttpRequest, desk: Desk, charter: int) -> HttpResponse:
    """How far she is ready, and the form that hands her over; what was handed over, and the way back."""
    row = _charter(charter, desk)
    there = handover_of(row)
    if request.method == "POST" and request.POST.get("what") == "back":
        return _take_back(request, there, row, desk)
    ready = readiness_of(row.boat, row, base=desk.base, at=desk.now)
    form = HandoverForm(ready, desk, request.POST if request.method == "POST" else None)
    if form.is_bound and there is not None:
        messages.info(request, f"{row.boat.name} was handed over already, by {there.by}.")
        return redirect("handover-sheet", base=desk.base.code, charter=row.pk)
    if (
        form.is_bound
        and _agrees(request, form, ready)
        and form.is_valid()
        and _give(request, form, row, desk)
    ):
        return redirect("handover-sheet", base=desk.base.code, charter=row.pk)
    context = _said(request, row, there, ready, desk) | {"form": form}
    return render(request, "maintenance/handover.html", context, status=422 if form.is_bound else 200)


@at_base("see")
def handover_sheet(request: HttpRequest, desk: Desk, charter: int) -> HttpResponse:
    """What was told, for paper; one of a boat the charter had before, where it is asked for."""
    row = _charter(charter, desk)
    there = _asked_for(request, row) or handover_of(row)
    context: dict[str, Any] = {"desk": desk, "here": "charters", "charter": row, "handover": there}
    if there is not None:
        context |= {
            "told": told_said(there.told, desk.base.timezone),
            "when": wording.moment(there.recorded_at, desk.base.timezone),
            "other_boat": there.boat_id != row.boat_id,
            "skipper": row.skipper or NOT_RECORDED,
            "printed": wording.moment(desk.now, desk.base.timezone),
        }
    return render(request, "maintenance/handover_sheet.html", context)


def _charter(charter: int, desk: Desk) -> Charter:
    boats = Boat.objects.of_base(desk.base.pk, desk.today)
    rows = Charter.objects.select_related("boat")
    return get_object_or_404(rows, pk=charter, boat__in=boats.values("pk"))


def _asked_for(request: HttpRequest, charter: Charter) -> Handover | None:
    number = row_number(request.GET.get("of", ""))
    if number is None:
        return None
    rows = Handover.objects.standing().select_related("boat")
    row: Handover = get_object_or_404(rows, pk=number, charter=charter)
    return row


def _agrees(request: HttpRequest, form: HandoverForm, ready: Readiness) -> bool:
    """Whether what is told now is what the page showed; what came up since is read first."""
    if request.POST.get("told") in (None, _digest(ready)):
        return True
    form.add_error(None, CHANGED)
    return False


def _digest(ready: Readiness) -> str:
    return sha256(json.dumps(ready.told, sort_keys=True).encode()).hexdigest()


def _give(request: HttpRequest, form: HandoverForm, row: Charter, desk: Desk) -> bool:
    given = form.cleaned_data
    try:
        hand_over(
            row.boat,
            row,
            who=given["who"],
            why=given.get("why", ""),
            at=desk.now,
            by=desk.person,
            client_id=sent_id(request.POST),
        )
    except (HandoverRefused, HandedOver) as refused:
        field = refused.field if refused.field in form.fields else None
        form.add_error(field, wording.sentence(refused.wanted) + ".")
        return False
    messages.success(
        request, f"{row.boat.name} is handed over to {row.code}. What was told is kept as it is."
    )
    return True


def _take_back(request: HttpRequest, there: Handover | None, row: Charter, desk: Desk) -> HttpResponse:
    if there is not None:
        try:
            take_back_handover(there, at=desk.now, by=desk.person)
        except TooLateToTakeBack as late:
            return wrong_day(request, desk, str(late))
        messages.success(request, f"{row.boat.name}: not handed over. What was told is taken back.")
    return redirect("handover", base=desk.base.code, charter=row.pk)


def _said(
    request: HttpRequest, row: Charter, there: Handover | None, ready: Readiness, desk: Desk
) -> dict[str, Any]:
    return {
        "desk": desk,
        "here": "week",
        "charter": row,
        "handover": there,
        "when": wording.moment(there.recorded_at, desk.base.timezone) if there else "",
        "undo": there is not None and desk.is_today(there.recorded_at) and desk.may("hand over"),
        "before": handed_before(row),
        "steps": handover_before.steps(ready, row, desk),
        "undone": handover_before.undone(ready, row, desk),
        "since": handover_before.since(ready, desk),
        "holding": ready.holding,
        "not_now": _not_now(row, desk),
        "told": told_said(ready.told, desk.base.timezone),
        "digest": _digest(ready),
        "may_hand": desk.may("hand over"),
        "client_id": request.POST.get("client_id") or uuid.uuid4().hex,
    }


def _not_now(row: Charter, desk: Desk) -> str:
    """Why this is no charter she can be handed over to; blank where it is."""
    try:
        refuse_charter(row.boat, row, base=desk.base, at=desk.now)
    except HandoverRefused as refused:
        return wording.sentence(refused.wanted) + "."
    return ""
