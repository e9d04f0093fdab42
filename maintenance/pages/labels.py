"""A sheet of labels to print: parts and places, each with a code that opens its page."""

from typing import Any

from django import forms
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from fleet.boats.models import Place
from fleet.pages.desk import Desk, at_base
from maintenance.pages.fields import row_number
from maintenance.pages.links import HERE_ONLY, qr_code
from maintenance.pages.spare_find import found_by
from maintenance.pages.stores import Stores, stores_of
from maintenance.spares.models import Spare

MOST = 200  # labels on a sheet that a browser still prints in a breath: no source
MOST_LETTERS = 80


class FindForm(forms.Form):
    """Words to find parts and places by."""

    find = forms.CharField(
        required=False,
        max_length=MOST_LETTERS,
        label="Find parts and places",
        error_messages={"max_length": f"Find: wanted up to {MOST_LETTERS} letters"},
    )


@at_base("see")
def labels(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Those ticked as a sheet; else what has the words asked for, to tick."""
    form, stores = FindForm(request.GET), stores_of(desk)
    words = form.cleaned_data["find"].split() if form.is_valid() else []
    parts, places = _ticked(request, "spare"), _ticked(request, "place")
    chosen = [*_of_parts(Spare.objects.filter(pk__in=parts)), *_of_places(places, stores)]
    if request.GET.get("all") and words:
        chosen = [*_of_parts(found_by(words)), *_of_places(None, stores, words)]
    wrong = f"Labels: wanted up to {MOST} at a time, found {len(chosen)}" if len(chosen) > MOST else ""
    if request.GET.get("print") and not chosen:
        wrong = "Labels: wanted a tick beside at least one part or place"
    context: dict[str, Any] = {"desk": desk, "here": "spares", "form": form, "wrong": wrong}
    if chosen and not wrong and not request.GET.get("look"):
        context |= _sheet(request, chosen, desk)
    else:
        context |= _offered(words, stores, parts, places)
    status = 200 if form.is_valid() and not wrong else 422
    return render(request, "maintenance/labels.html", context, status=status)


def _ticked(request: HttpRequest, name: str) -> list[int]:
    keys = (row_number(text) for text in request.GET.getlist(name)[: 5 * MOST])
    return [key for key in keys if key is not None]


def _of_parts(spares: list[Spare] | QuerySet[Spare]) -> list[dict[str, Any]]:
    return [
        {
            "page": ("spare", spare.pk),
            "name": spare.name,
            "number": spare.part_number or spare.code,
            "more": spare.maker,
        }
        for spare in spares
    ]


def _of_places(
    keys: list[int] | None, stores: Stores, words: list[str] | None = None
) -> list[dict[str, Any]]:
    """Places by their keys, or by the words of their names."""
    found = [one for one in stores if keys is None or one.pk in keys]
    return [_of_place(one, stores) for one in found if _has(stores.path(one), words or ())]


def _of_place(place: Place, stores: Stores) -> dict[str, Any]:
    path, _, last = stores.path(place).rpartition(", ")
    return {"page": ("shelf", place.pk), "name": last, "number": path, "more": ""}


def _has(path: str, words: Any) -> bool:
    return all(word.casefold() in path.casefold() for word in words)


def _sheet(request: HttpRequest, chosen: list[dict[str, Any]], desk: Desk) -> dict[str, Any]:
    """Each with its code. An address that starts with this computer's own name opens on no phone."""
    for one in chosen:
        page, key = one["page"]
        one["code"] = qr_code(request.build_absolute_uri(reverse(page, args=[desk.base.code, key])))
    return {
        "labels": chosen,
        "here_only": request.get_host().rsplit(":", 1)[0] in HERE_ONLY,
    }


def _offered(words: list[str], stores: Stores, parts: list[int], places: list[int]) -> dict[str, Any]:
    """What is ticked already, then what has the words, no more than a sheet takes."""
    ticked = [*Spare.objects.filter(pk__in=parts)], [one for one in stores if one.pk in places]
    found = [one for one in found_by(words) if one.pk not in parts]
    where = [one for one in stores if one.pk not in places and _has(stores.path(one), words)]
    return {
        "parts": [*ticked[0], *found[:MOST]],
        "places": [(one, stores.path(one)) for one in (*ticked[1], *where[:MOST])],
        "kept_parts": parts,
        "kept_places": places,
        "left_out": max(len(found) - MOST, 0) + max(len(where) - MOST, 0),
        "asked": bool(words),
        "found": len(found) + len(where),
        "most": MOST,
    }
