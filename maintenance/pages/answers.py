"""What followed from something recorded, said back to the person who recorded it."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from fleet.boats.models import Place
from fleet.pages.desk import Desk
from maintenance.pages import wording
from maintenance.spares.models import Spare

Group = dict[str, Any]


def moved_group(followed: dict[str, Any], on: date) -> list[Group]:
    """The due days that moved, and by how much."""
    items = [
        {"text": f"{m['task']} ({m['thing']})", "why": _by_how_much(m, on)} for m in followed.get("moved", [])
    ]
    return (
        [{"title": f"{wording.sentence(wording.many(len(items), 'due day'))} moved", "items": items}]
        if items
        else []
    )


def _by_how_much(moved: dict[str, Any], on: date) -> str:
    before, after = (moved[k] and date.fromisoformat(moved[k]) for k in ("before", "after"))
    text = f"from {wording.day(before, on)} to {wording.day(after, on)}"
    if moved["days"] is None:
        return text
    days = wording.many(abs(moved["days"]), "day")
    return f"{text}, {days} {'later' if moved['days'] > 0 else 'earlier'}"


def stock_groups(followed: dict[str, Any], desk: Desk) -> list[Group]:
    """What places lack of what should lie there, and places to count."""
    rows = [*followed.get("short", []), *followed.get("to_count", [])]
    spares = Spare.objects.in_bulk({row["spare"] for row in rows})
    places = Place.objects.select_related("parent").in_bulk({row["place"] for row in rows})
    short = [
        {"text": f"{spares[r['spare']]}, {places[r['place']]}", "why": _lacks(r, spares[r["spare"]])}
        | _to_fill(places[r["place"]], desk)
        for r in followed.get("short", [])
    ]
    count = [
        {"text": f"{spares[r['spare']]}, {places[r['place']]}", "why": "the book had less than was used"}
        for r in followed.get("to_count", [])
    ]
    kits = all(places[r["place"]].boat_id for r in followed.get("short", []))
    title = "Her kit lacks" if kits else "The places lack"
    groups = [{"title": title, "items": short}] if short else []
    return groups + ([{"title": "A count to make", "items": count}] if count else [])


def _lacks(row: dict[str, Any], spare: Spare) -> str:
    """Lacks 3 l: 1 of 4; below nothing it lacks all of it."""
    held, wanted = Decimal(row["on_hand"]), Decimal(row["allowance"])
    lacks = f"{wording.quantity(wanted - max(held, Decimal(0)))} {_unit(spare)}".rstrip()
    return f"lacks {lacks}: {wording.quantity(held)} of {wording.quantity(wanted)} by the book"


def _to_fill(place: Place, desk: Desk) -> dict[str, str]:
    """The way to fill a boat's kit, for who may."""
    if place.boat_id is None or not desk.may("count stock"):
        return {}
    where = reverse("fill-kits", args=[desk.base.code])
    return {"link": f"{where}?boat={place.boat_id}", "link_text": "Fill it from the store"}


def _unit(spare: Spare) -> str:
    return "" if spare.unit == "each" else spare.unit


def wrong_day(request: HttpRequest, desk: Desk, said: str) -> HttpResponse:
    """Said instead of undoing what was recorded on an earlier day."""
    context = {
        "desk": desk,
        "heading": "Too late to take back",
        "lede": said,
        "groups": [
            {
                "title": "What to do",
                "items": [{"text": "Record what is true now; the earlier record stays for the history."}],
            }
        ],
    }
    return render(request, "maintenance/answer.html", context, status=409)
