"""A report that stands on the wrong boat, put on the right one: her name, one touch, and a way back."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from fleet.refused import Refused
from maintenance.defects.models import Defect
from maintenance.pages.defect_rows import act_page, boats_of, kept_once, row_of
from maintenance.turnaround.moving import move_back, move_report

WANTED = "Boat: wanted another boat of this base"
LEDE = (
    "Its words, photos, alarm and history go with it. Aboard her nobody has looked at it or graded it yet, "
    "and where it is at is to be said anew. Spares that were told with it stay off the first boat’s kit: "
    "count it."
)


class BoatForm(forms.Form):
    """Another boat of the base."""

    boat = forms.ModelChoiceField(
        Boat.objects.none(),
        label="Boat",
        empty_label="Which boat",
        error_messages={"required": WANTED, "invalid_choice": WANTED},
    )

    def __init__(self, row: Defect, desk: Desk, *args: Any) -> None:
        super().__init__(*args)
        others = Boat.objects.filter(pk__in=boats_of(desk)).exclude(pk=row.boat_id)
        self.fields["boat"].queryset = others.order_by("name")  # type: ignore[attr-defined]


@at_base("grade and defer")
def move(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Which boat it is about."""
    row = row_of(defect, desk)
    form = BoatForm(row, desk, request.POST or None)
    if request.method == "POST" and form.is_valid():

        def keep(client_id: str | None) -> Defect:
            return move_report(
                row, form.cleaned_data["boat"], at=desk.now, by=desk.person, client_id=client_id
            )

        if (kept := kept_once(Defect, request, form, keep)) is not None:
            messages.success(request, f"It stands on {kept.boat.name} now.")
            return redirect("defect", base=desk.base.code, defect=kept.pk)
    heading = f"Another boat? {row.boat.name}"
    return act_page(request, row, desk, form, heading=heading, send="Put it on her", lede=LEDE)


@require_POST
@at_base("grade and defer")
def unmove(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Back to the boat it came in on."""
    row = row_of(defect, desk)
    try:
        row = move_back(row, at=desk.now, by=desk.person)
        messages.success(request, f"It stands on {row.boat.name} again.")
    except Refused as refused:
        messages.error(request, f"Not moved back: {refused.wanted}.")
    return redirect("defect", base=desk.base.code, defect=row.pk)
