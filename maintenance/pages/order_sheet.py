"""An order as its supplier is to read it: as text to copy, and on one sheet of paper."""

from collections.abc import Sequence
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from fleet.pages.desk import Desk, at_base
from maintenance.ordering.asking import AskedFor, asked_for
from maintenance.ordering.models import Order
from maintenance.ordering.orders import Standing, orders_of
from maintenance.pages import wording

PRINTS = ((24, "large"), (40, "small"), (10**6, "tiny"))  # lines that fit on one page in each print


@at_base("see")
def order_sheet(request: HttpRequest, desk: Desk, order: int) -> HttpResponse:
    """The sheet for the supplier: no prices, no notes of the base's."""
    get_object_or_404(Order, pk=order, base=desk.base)
    one = orders_of(desk.base.pk, on=desk.today, orders=[order])[0]
    asked = asked_for(one.lines)
    context = {
        "desk": desk,
        "here": "spares",
        "order": one.order,
        "rows": [_row(row) for row in asked],
        "size": next(size for most, size in PRINTS if len(asked) <= most),
        "day": wording.day(one.order.sent_on or desk.today),
    }
    return render(request, "maintenance/order_sheet.html", context)


def in_words(one: Standing, asked: Sequence[AskedFor], desk: Desk) -> str:
    """The order as a letter has it, line by line."""
    number = f", {one.order.number}" if one.order.number else ""
    head = [f"Order of {desk.base.name}{number}", wording.day(one.order.sent_on or desk.today), ""]
    tail = ["", *(line for line in (desk.base.name, desk.base.phone) if line)]
    return "\n".join([*head, *(_line(row) for row in asked), *tail])


def _line(asked: AskedFor) -> str:
    row = _row(asked)
    return "  ".join(part for part in (row["how_many"], row["number"], row["name"], row["was"]) if part)


def _row(asked: AskedFor) -> dict[str, Any]:
    part, was = asked.part, asked.was
    old = (was.part_number or was.name) if was is not None else ""
    return {
        "how_many": how_many(asked),
        "number": part.part_number,
        "maker": part.maker,
        "name": part.name,
        "was": f"(in place of {old})" if old else "",
    }


def how_many(asked: AskedFor) -> str:
    """6 (2 packs of 3); 4.5 l."""
    unit = asked.part.unit if asked.part.unit not in ("", "each") else ""
    text = f"{wording.quantity(asked.quantity)} {unit}".strip()
    if asked.packs is None:
        return text
    many = f"{wording.quantity(asked.packs)} pack{'' if asked.packs == 1 else 's'}"
    return f"{text} ({many} of {wording.quantity(asked.part.pack_of)})"
