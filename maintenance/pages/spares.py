"""The base's spares: where each lies, how many to hold ashore and why, what falls short."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.core.paginator import Paginator
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from maintenance.ordering.facts import shelves
from maintenance.ordering.shelf import Shelf
from maintenance.pages import wording
from maintenance.pages.csv_out import as_table
from maintenance.pages.spare_find import has_words
from maintenance.pages.stores import Stores, stores_of

MOST_LETTERS = 80
ON_A_PAGE = 100  # the worst first: more is longer to load on a pontoon than anybody scrolls
COLUMNS = [
    *("spare", "name", "part_number", "supplier", "lead_days", "unit"),
    *("ashore", "aboard", "to_hold", "kits_lack", "short", "why"),
    *("on_its_way", "expected_on", "run_out", "looked_for", "pack_of", "exchange", "order", "order_why"),
]
PRICES = ["price", "currency"]  # only for who may see them


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
    rows = [shelf for shelf in found if has_words(shelf.spare, words)]
    if request.GET.get("format") == "csv" and form.is_valid():
        return _table(rows, desk)
    stores = stores_of(desk)
    page = Paginator(rows, ON_A_PAGE).get_page(request.GET.get("page"))
    context: dict[str, Any] = {
        "desk": desk,
        "here": "spares",
        "form": form,
        "many": len(rows),
        "page": page,
        "rows": [_row(shelf, stores, desk) for shelf in page],
        "short": sum(1 for shelf in rows if shelf.short),
        "asked": bool(words),
        "lost": sum(1 for shelf in rows if shelf.astray),
        "may_count": desk.may("count stock"),
        "may_order": desk.may("order parts"),
        "may_see": desk.may("see prices"),
    }
    return render(request, "maintenance/spares.html", context, status=200 if form.is_valid() else 422)


def _row(shelf: Shelf, stores: Stores, desk: Desk) -> dict[str, Any]:
    """A part with what is to be said of it, and its places by their whole names."""
    return {
        "shelf": shelf,
        "good": shelf.ashore - shelf.run_out,
        "why": shelf.hold.said(prices=desk.may("see prices")),
        "notes": list(_notes(shelf, desk)),
        "elsewhere": [(one, stores.path(one.place)) for one in shelf.elsewhere],
        "in_kits": [(one, stores.path(one.place)) for one in shelf.in_kits],
    }


def _notes(shelf: Shelf, desk: Desk) -> Iterator[str]:
    """What else is to be known of it, a sentence each."""
    if shelf.kits_lack:
        yield f"Kits lack {wording.quantity(shelf.kits_lack)}."
    for one in shelf.coming:
        when = f"expected {wording.day(one.expected_on, desk.today)}" if one.expected_on else "no day said"
        late = ", late" if one.expected_on and one.expected_on < desk.today else ""
        yield f"{wording.quantity(one.quantity)} on the way from {one.order.supplier}, {when}{late}."
    if shelf.written:
        yield f"{wording.quantity(shelf.written)} written in an order not sent yet."
    if shelf.run_out:
        yield f"{wording.quantity(shelf.run_out)} ashore ran out, and do not count."


def _table(rows: list[Shelf], desk: Desk) -> HttpResponse:
    """All of it for a spreadsheet, with what one costs for who may see that."""
    priced = desk.may("see prices")
    cells = ([*_cells(shelf, priced), *(_price(shelf) if priced else ())] for shelf in rows)
    return as_table(f"spares-{desk.base.code}-{desk.today}", [*COLUMNS, *(PRICES if priced else ())], cells)


def _cells(shelf: Shelf, priced: bool) -> Iterator[Any]:
    spare = shelf.spare
    yield from (spare.code, spare.name, spare.part_number, spare.supplier, spare.lead_days, spare.unit)
    yield from (shelf.ashore, shelf.aboard, shelf.hold.quantity, shelf.kits_lack, shelf.short)
    yield shelf.hold.said(prices=priced)
    expected = min((one.expected_on for one in shelf.coming if one.expected_on), default=None)
    yield from (shelf.on_its_way, expected, shelf.run_out, shelf.astray)
    yield from (
        spare.pack_of,
        "yes" if spare.exchange else "",
        shelf.order.quantity,
        shelf.order.said(prices=priced),
    )


def _price(shelf: Shelf) -> tuple[Any, Any]:
    return (shelf.price.amount, shelf.price.currency) if shelf.price is not None else (None, None)
