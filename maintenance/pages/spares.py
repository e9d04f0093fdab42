"""The base's spares: where each lies, how many to hold ashore and why, what falls short."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from maintenance.ordering.facts import USUAL_LEAD, shelves
from maintenance.ordering.shelf import Shelf
from maintenance.pages.csv_out import as_table

MOST_LETTERS = 80
COLUMNS = [
    *("spare", "name", "part_number", "supplier", "lead_days", "unit"),
    *("ashore", "aboard", "to_hold", "kits_lack", "short", "why"),
]


class FindForm(forms.Form):
    """Words to find a spare by."""

    find = forms.CharField(required=False, max_length=MOST_LETTERS, label="Find a part")


@at_base("see")
def spares(request: HttpRequest, desk: Desk) -> HttpResponse:
    """All of them, or those whose name, number or supplier has every word asked for."""
    form = FindForm(request.GET)
    words = form.cleaned_data["find"].split() if form.is_valid() else []
    boats: QuerySet[Boat] = Boat.objects.of_base(desk.base.pk, desk.today)
    found = shelves(desk.base, list(boats.values_list("pk", flat=True)), on=desk.today)
    rows = [shelf for shelf in found if _has(shelf, words)]
    if request.GET.get("format") == "csv" and form.is_valid():
        return as_table(f"spares-{desk.base.code}-{desk.today}", COLUMNS, map(_cells, rows))
    context: dict[str, Any] = {
        "desk": desk,
        "here": "spares",
        "form": form,
        "rows": rows,
        "short": sum(1 for shelf in rows if shelf.short),
        "asked": bool(words),
        "usual_lead": USUAL_LEAD,
    }
    return render(request, "maintenance/spares.html", context, status=200 if form.is_valid() else 422)


def _cells(shelf: Shelf) -> Iterator[Any]:
    spare = shelf.spare
    yield from (spare.code, spare.name, spare.part_number, spare.supplier, spare.lead_days, spare.unit)
    yield from (shelf.ashore, shelf.aboard, shelf.hold.quantity, shelf.kits_lack, shelf.short)
    yield shelf.hold.why


def _has(shelf: Shelf, words: list[str]) -> bool:
    spare = shelf.spare
    told = " ".join((spare.name, spare.code, spare.part_number, spare.maker, spare.supplier)).casefold()
    return all(word.casefold() in told for word in words)
