"""Who has which boat: extending a charter, changing its boat, calling it off."""

from datetime import timedelta
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.boats.models import Boat
from fleet.charters.actions import CharterRefused
from fleet.charters.models import Charter, CharterBoat
from fleet.pages.desk import Desk, at_base
from maintenance.pages import wording
from maintenance.pages.charter_stands import stand_of, with_stands
from maintenance.pages.fields import day_field
from maintenance.pages.leaving import handed
from maintenance.pages.links import links_of, may_have_more
from maintenance.planning.actions import cancel_charter, change_boat, extend_charter
from maintenance.turnaround.facts import returned_by


class ExtendForm(forms.Form):
    """Another last day."""

    ends_on = day_field("Back on")
    back_at = forms.TimeField(
        label="Back at",
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
        error_messages={"invalid": "Back at: wanted a time such as 09:00"},
    )


class OtherBoatForm(forms.Form):
    """Another boat, from a day on."""

    from_on = day_field("From")
    why = forms.CharField(label="Why", max_length=200)


@at_base("see")
def charters(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Charters out now and in the coming weeks."""
    boats = list(Boat.objects.of_base(desk.base.pk, desk.today).values_list("pk", flat=True))
    rows = Charter.objects.booked().filter(
        boat__in=boats, ends_on__gte=desk.today, starts_on__lte=desk.today + timedelta(days=28)
    )
    returned = returned_by(boats)
    context = {
        "desk": desk,
        "here": "charters",
        "rows": with_stands(rows.select_related("boat"), returned, desk),
        "returned": returned.told,
        "may_change": desk.may("change charters"),
    }
    return render(request, "maintenance/charters.html", context)


@at_base("change charters")
def charter(request: HttpRequest, desk: Desk, charter: int) -> HttpResponse:
    """One charter and what can be changed of it."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today)
    row = get_object_or_404(
        Charter.objects.booked().select_related("boat"), pk=charter, boat__in=boats.values("pk")
    )
    what = request.POST.get("what", "")
    shown = _forms(row, desk, boats, request.POST, what)
    if what in shown and shown[what].is_valid():
        said = _change(row, what, shown[what], desk)
        if said is not None:
            messages.success(request, said)
            return redirect("charters", base=desk.base.code)
    context = {
        "desk": desk,
        "here": "charters",
        "charter": row,
        "boats": CharterBoat.objects.standing().filter(charter=row).select_related("boat").order_by("pk"),
        "extend": shown["extend"],
        "other": shown["other"],
        "cancel": shown["cancel"],
        "stand": stand_of(row, returned_by([row.boat_id]), desk),
        "gone_out": row.starts_on < desk.today,
        "links": links_of(row, desk),
        "handed": handed(row, returned_by([row.boat_id])),
        "may_have_more": may_have_more(row, desk),
    }
    return render(request, "maintenance/charter.html", context, status=422 if what else 200)


def _forms(row: Charter, desk: Desk, boats: Any, data: Any, what: str) -> dict[str, forms.Form]:
    extend = ExtendForm(
        data if what == "extend" else None,
        initial={"ends_on": row.ends_on, "back_at": row.back_at},
        prefix="extend",
    )
    from_on = max(row.starts_on, min(desk.today, row.ends_on - timedelta(days=1)))
    other = OtherBoatForm(data if what == "other" else None, initial={"from_on": from_on}, prefix="other")
    free = boats.exclude(pk=row.boat_id).order_by("name")
    other.fields["boat"] = forms.ModelChoiceField(free, label="Boat")
    other.order_fields(["boat"])
    return {"extend": extend, "other": other, "cancel": forms.Form({} if what == "cancel" else None)}


def _change(row: Charter, what: str, form: forms.Form, desk: Desk) -> str | None:
    """What was done, in words; None where it was refused and the form says why."""
    try:
        if what == "cancel":
            moved = cancel_charter(row, at=desk.now)
            said = "called off"
        elif what == "extend":
            moved = extend_charter(row, at=desk.now, **form.cleaned_data)
            said = f"now back on {wording.day(row.ends_on, desk.today)}"
        else:
            moved = change_boat(row, at=desk.now, by=desk.person, **form.cleaned_data)
            said = f"now on {row.boat.name}"
    except (CharterRefused, ValidationError) as refused:
        text = "; ".join(refused.messages) if isinstance(refused, ValidationError) else str(refused)
        form.add_error(None, wording.sentence(text))
        row.refresh_from_db()
        return None
    return f"{row.code}: {said}. " + wording.sentence(f"{wording.many(len(moved), 'due day')} moved.")
