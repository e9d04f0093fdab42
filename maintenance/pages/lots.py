"""What runs out of the parts in store and aboard: every lot with a last good day, the first one first."""

from collections.abc import Iterator
from datetime import date
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.boats.models import Place
from fleet.pages.desk import Desk, at_base
from maintenance.pages import date_wording, wording
from maintenance.pages.csv_out import as_table
from maintenance.pages.safety import FLARES
from maintenance.pages.spare_find import called, stand_in
from maintenance.pages.stores import Stores, stores_of
from maintenance.spares.lots import Dated, dated_lots

MOST_LETTERS = 80
SOON = 90  # days ahead that are counted out in words
COLUMNS = [
    *("spare", "name", "part_number", "lot", "serial"),
    *("where", "boat", "quantity", "unit", "good_to", "state"),
]


class FindForm(forms.Form):
    """Words to find a lot by."""

    find = forms.CharField(required=False, max_length=MOST_LETTERS, label="Find a part, a mark or a place")


@at_base("see")
def lots(request: HttpRequest, desk: Desk) -> HttpResponse:
    """All of them, or those whose part, mark or place has every word asked for."""
    form = FindForm(request.GET)
    words = form.cleaned_data["find"].split() if form.is_valid() else []
    stores = stores_of(desk)
    held = [one for one in dated_lots(stores.places) if stand_in(_told(one, stores), words)]
    if request.GET.get("format") == "csv" and form.is_valid():
        rows = (_cells(one, stores, desk.today) for one in held)
        return as_table(f"lots-{desk.base.code}-{desk.today}", COLUMNS, rows)
    over = [one for one in held if one.over(desk.today)]
    context = {
        "desk": desk,
        "here": "spares",
        "form": form,
        "rows": [_row(one, stores, desk.today) for one in held],
        "says": _says(held, over, desk.today),
        "asked": " ".join(words),
        "csv": urlencode({"find": " ".join(words), "format": "csv"}),
        "caution": FLARES if any("flare" in one.lot.spare.name.casefold() for one in over) else "",
        "disclaims": date_wording.DISCLAIMS,
        "printed": wording.moment(desk.now, desk.base.timezone),
    }
    return render(request, "maintenance/lots.html", context, status=200 if form.is_valid() else 422)


def _told(one: Dated, stores: Stores) -> str:
    lot = one.lot
    return " ".join((called(lot.spare), lot.mark, lot.serial, _where(one, stores)))


def _where(one: Dated, stores: Stores) -> str:
    place = stores.places[one.place]
    return "Not where it should be: looked for" if place.sort == Place.Sort.ASTRAY else stores.path(place)


def _says(held: list[Dated], over: list[Dated], on: date) -> str:
    """Nine carry a last good day; two ran out. The next runs out after Fri 12 Jun."""
    if not held:
        return ""
    carry = "carries" if len(held) == 1 else "carry"
    ran = f"{wording.many(len(over), 'line')} ran out" if over else "none ran out"
    text = wording.sentence(f"{wording.many(len(held), 'line')} {carry} a last good day; {ran}.")
    coming = next((one.good_to for one in held if one not in over), None)
    return text + (f" The next is good to {wording.day(coming, on)}." if coming else "")


def _row(one: Dated, stores: Stores, on: date) -> dict[str, Any]:
    lot, place = one.lot, stores.places[one.place]
    marks = (lot.mark and f"lot {lot.mark}", lot.serial and f"no. {lot.serial}")
    return {
        "spare": lot.spare,
        "mark": wording.sentence(", ".join(filter(None, marks))),
        "where": _where(one, stores),
        "place": None if place.sort == Place.Sort.ASTRAY else place.pk,
        "quantity": one.quantity,
        "unit": "" if lot.spare.unit == "each" else lot.spare.unit,
        "wrong": one.quantity < 0,
        "good_to": wording.day(one.good_to),
        "state": _state(one, on),
        "over": one.over(on),
    }


def _state(one: Dated, on: date) -> str:
    """Ran out 16 days ago; today is its last good day; good for 40 more days; good."""
    days = (one.good_to - on).days
    if days < 0:
        return f"ran out {wording.many(-days, 'day')} ago"
    if days > SOON:
        return "good"
    return f"good for {wording.many(days, 'more day')}" if days else "today is its last good day"


def _cells(one: Dated, stores: Stores, on: date) -> Iterator[Any]:
    lot, boat = one.lot, stores.places[one.place].boat
    yield from (lot.spare.code, lot.spare.name, lot.spare.part_number, lot.mark, lot.serial)
    yield from (_where(one, stores), boat.name if boat else "", one.quantity, lot.spare.unit)
    yield from (one.good_to, "ran out" if one.over(on) else "good")
