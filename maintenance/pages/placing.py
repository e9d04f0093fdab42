"""Where a defect is at, said right: a thing aboard, a place, or a part of the hull."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from fleet.boats.models import Boat, Fitting, Place
from fleet.pages.desk import Desk, at_base
from maintenance.defects.correcting import correct_defect
from maintenance.defects.models import Defect
from maintenance.defects.rules import HULL_PLACES
from maintenance.pages import wording
from maintenance.pages.defect_rows import act_page, kept_once, row_of

WANTED = "Where it is at: wanted a thing, a place or a part of the hull in the list"


class WhereForm(forms.Form):
    """One of her things, of her places, or a part of the hull."""

    at = forms.ChoiceField(label="Where it is at", required=False, error_messages={"invalid_choice": WANTED})

    def __init__(self, row: Defect, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        boat = row.boat
        self.fields["at"].choices = [  # type: ignore[attr-defined]
            ("", "Not known"),
            ("Things aboard", _things(boat, row)),
            ("Places aboard", _places(boat)),
            ("Hull", [(f"hull:{place}", wording.sentence(place)) for place in HULL_PLACES]),
        ]

    def chosen(self) -> dict[str, Any]:
        """What the report names instead: one of the three, the others blank."""
        sort, _, name = self.cleaned_data["at"].partition(":")
        return {
            "component_id": int(name) if sort == "thing" else None,
            "place_id": int(name) if sort == "place" else None,
            "hull": name if sort == "hull" else "",
        }


def _things(boat: Boat, row: Defect) -> list[tuple[str, str]]:
    """What is fitted to her, and the thing it is said to be at where that is no longer aboard."""
    rows = Fitting.objects.standing().filter(boat=boat, removed_on__isnull=True)
    rows = rows.select_related("component__kind").order_by("component__kind__name", "position")
    said = [(r.component_id, r.component.kind.name, r.position) for r in rows]
    if row.component is not None and row.component_id not in {pk for pk, _, _ in said}:
        said.append((row.component_id, row.component.kind.name, "no longer aboard"))
    return [(f"thing:{pk}", f"{name}, {position}" if position else name) for pk, name, position in said]


def _places(boat: Boat) -> list[tuple[str, str]]:
    rows = Place.objects.filter(boat=boat).select_related("parent").order_by("parent__name", "name")
    return [(f"place:{place.pk}", str(place)) for place in rows]


@at_base("grade and defer")
def where_at(request: HttpRequest, desk: Desk, defect: int) -> HttpResponse:
    """Puts right where a report is at; its words stay as they were written."""
    row = row_of(defect, desk)
    form = WhereForm(row, request.POST or None, initial={"at": _now(row)})
    if request.method == "POST" and form.is_valid():

        def keep(client_id: str | None) -> Defect:
            return correct_defect(row, at=desk.now, by=desk.person, client_id=client_id, **form.chosen())

        if (kept := kept_once(Defect, request, form, keep)) is not None:
            messages.success(request, "Where it is at is said anew.")
            return redirect("defect", base=desk.base.code, defect=kept.pk)
    lede = "Its words, photos and history stay. What comes up twice at one thing or place is noticed by this."
    return act_page(request, row, desk, form, heading=f"Where: {row.boat.name}", send="Keep it", lede=lede)


def _now(row: Defect) -> str:
    if row.component_id:
        return f"thing:{row.component_id}"
    if row.place_id:
        return f"place:{row.place_id}"
    return f"hull:{row.hull}" if row.hull else ""
