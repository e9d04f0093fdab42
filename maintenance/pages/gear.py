"""The base's lists of required gear: their clauses with the source beside each, and who goes by which."""

import uuid
from datetime import timedelta
from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.ledger import once
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.pages import wording
from maintenance.pages.fields import row_number, sent_id
from maintenance.pages.gear_forms import LastDayForm, adopt_form, clause_form
from maintenance.pages.gear_stands import NO_LIST, boats_by_list
from maintenance.planning.gear import adoptions
from maintenance.safety.models import Adoption, Requirement
from maintenance.safety.requiring import (
    add_requirement,
    adopt_list,
    change_requirement,
    end_requirement,
    leave_list,
)

RULES = "change the base's rules"


@at_base("see", post=RULES)
def gear(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Every list of the base; a clause is added, a boat goes by a list or leaves it."""
    what, name = request.POST.get("what", ""), request.POST.get("list", "")
    clause = clause_form(desk, request.POST if what == "add" else None)
    adopt = adopt_form(desk, request.POST if what == "adopt" else None)
    if what == "leave":
        return _left(request, desk)
    if what == "add" and clause.is_valid() and _added(request, clause, desk):
        return redirect("gear", base=desk.base.code)
    if what == "adopt" and adopt.is_valid() and _adopted(request, name, adopt, desk):
        return redirect("gear", base=desk.base.code)
    context = {
        "desk": desk,
        "here": "safety",
        "lists": (lists := _lists(desk, adopt, name)),
        "boats": boats_by_list(desk, [one["name"] for one in lists]),
        "no_list": NO_LIST,
        "clause": clause,
        "names": _names(desk),
        "may_change": desk.may(RULES),
        "client_id": uuid.uuid4().hex,
    }
    return render(request, "maintenance/gear.html", context, status=422 if what else 200)


@at_base(RULES)
def gear_clause(request: HttpRequest, desk: Desk, requirement: int) -> HttpResponse:
    """One clause: changed from a day on, or ended; the days before keep what they had."""
    row = get_object_or_404(Requirement.objects.select_related("kind"), pk=requirement, base=desk.base)
    what = request.POST.get("what", "")
    form = clause_form(desk, request.POST if what == "change" else None, row)
    end = LastDayForm(request.POST if what == "end" else None, initial={"last": desk.today}, prefix="end")
    if what == "change" and form.is_valid() and _changed(request, row, form):
        return redirect("gear", base=desk.base.code)
    if what == "end" and end.is_valid():
        end_requirement(row, last=end.cleaned_data["last"])
        messages.success(request, f"{row.list}: {row.kind} is asked for no more after that day.")
        return redirect("gear", base=desk.base.code)
    context = {"desk": desk, "here": "safety", "row": row, "form": form, "end": end, "names": _names(desk)}
    return render(request, "maintenance/gear_clause.html", context, status=422 if what else 200)


def _added(request: HttpRequest, form: forms.Form, desk: Desk) -> bool:
    given = dict(form.cleaned_data)
    clause = Requirement(base=desk.base, from_on=given.pop("on"), **given)
    same = Requirement.objects.filter(
        base=desk.base, kind=clause.kind, clause=clause.clause, list=clause.list, from_on=clause.from_on
    )
    try:
        kept = once(
            lambda: same.filter(number=clause.number, per=clause.per).first(), lambda: add_requirement(clause)
        )
    except Refused as refused:
        say(form, refused)
        return False
    messages.success(request, f"{kept.list}: {kept.kind} is asked for.")
    return True


def _changed(request: HttpRequest, row: Requirement, form: forms.Form) -> bool:
    given = dict(form.cleaned_data)
    try:
        kept = change_requirement(row, on=given.pop("on"), **given)
    except Refused as refused:
        say(form, refused)
        return False
    messages.success(request, f"{kept.list}: {kept.kind} changed.")
    return True


def _adopted(request: HttpRequest, name: str, form: forms.Form, desk: Desk) -> bool:
    given, sent = form.cleaned_data, sent_id(request.POST)
    boat: Boat = given["boat"]
    who: dict[str, Any] = {"at": desk.now, "by": desk.person, "client_id": sent}
    known = Adoption.objects.filter(boat=boat, client_id=sent or "").first
    try:
        once(known, lambda: adopt_list(boat, desk.base, name, from_on=given["from_on"], **who))
    except Refused as refused:
        say(form, refused)
        return False
    messages.success(request, f"{boat.name} goes by {name} from {wording.day(given['from_on'], desk.today)}.")
    return True


def _left(request: HttpRequest, desk: Desk) -> HttpResponse:
    """From today on the boat does not go by the list."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    number = row_number(request.POST.get("adoption", "")) or 0
    row = get_object_or_404(Adoption.objects.select_related("boat"), pk=number, boat__in=boats)
    try:
        leave_list(row, last=desk.today - timedelta(days=1), at=desk.now, by=desk.person)
        messages.success(request, f"{row.boat.name} does not go by {row.list} any more.")
    except Refused as late:
        messages.info(request, wording.sentence(f"{late.wanted}."))
    return redirect("gear", base=desk.base.code)


def _names(desk: Desk) -> list[str]:
    rows = Requirement.objects.filter(base=desk.base).order_by("list").values_list("list", flat=True)
    return list(rows.distinct())


def _lists(desk: Desk, adopt: forms.Form, asked: str) -> list[dict[str, Any]]:
    """Each list with what it asks now or will, and the boats that go by it."""
    lasting = Q(until_on__isnull=True) | Q(until_on__gte=desk.today)
    clauses = Requirement.objects.filter(lasting, base=desk.base).select_related("kind")
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values_list("pk", flat=True)
    goes = adoptions(desk.base, list(boats), desk.today)
    found: dict[str, dict[str, Any]] = {}
    for row in clauses:
        found.setdefault(row.list, {"name": row.list, "clauses": [], "goes": []})["clauses"].append(row)
    for name, one in found.items():
        one["goes"] = [row for row in goes if row.list == name]
        one["adopt"] = adopt if adopt.is_bound and asked == name else adopt_form(desk)
    return list(found.values())
