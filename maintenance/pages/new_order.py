"""New orders, supplier by supplier, from what falls short; any other part can be typed beside."""

import re
import uuid
from collections import defaultdict
from collections.abc import Mapping
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from fleet.boats.models import Boat
from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.ordering.actions import make_order
from maintenance.ordering.asking import newest_of, priced
from maintenance.ordering.facts import shelves
from maintenance.ordering.models import Order
from maintenance.ordering.prices import asked_by, prices_of
from maintenance.ordering.shelf import Shelf
from maintenance.pages import money
from maintenance.pages.fields import row_number, sent_id
from maintenance.pages.move_words import amount
from maintenance.pages.new_order_forms import NewOrderForm, Row
from maintenance.spares.models import Spare

SENT = re.compile(r"quantity-(\d+)")


@at_base("order parts")
def new_order(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Each supplier's list, ticked; what is sent makes one order, kept as it was typed if it is wrong."""
    data = request.POST if request.method == "POST" else None
    forms = _forms(request, desk)
    sent = next((form for form in forms if form.is_bound), None)
    if sent is not None and sent.is_valid() and (order := _made(sent, request, desk)):
        messages.success(request, _written(order))
        return redirect("order", base=desk.base.code, order=order.pk)
    context = {
        "desk": desk,
        "here": "spares",
        "forms": [(form, _new_id(form, request)) for form in forms],
        "suppliers": _suppliers(desk),
        "may_see": desk.may("see prices"),
    }
    return render(request, "maintenance/new_order.html", context, status=422 if data is not None else 200)


def _written(order: Order) -> str:
    lines = order.lines.select_related("spare").order_by("pk")
    parts = ", ".join(f"{amount(line.quantity, line.spare)} {line.spare.name}" for line in lines)
    return f"Written: {parts}. The order of {order.supplier} is to be sent still."


def _new_id(form: NewOrderForm, request: HttpRequest) -> str:
    return (request.POST.get("client_id") if form.is_bound else "") or uuid.uuid4().hex


def _made(form: NewOrderForm, request: HttpRequest, desk: Desk) -> Order | None:
    wanted = priced(desk.base, form.whom(), form.wanted(), on=desk.today)
    stamps: dict[str, Any] = {"at": desk.now, "by": desk.person, "client_id": sent_id(request.POST)}
    try:
        return make_order(desk.base, form.whom(), wanted, **stamps)
    except Refused as refused:
        say(form, refused)
        return None


def _forms(request: HttpRequest, desk: Desk) -> list[NewOrderForm]:
    """A form for each supplier of what falls short, and one whose supplier is typed, the last."""
    data = request.POST if request.method == "POST" else None
    supplier = (data.get("supplier", "") if data is not None else "")[:120]
    rows = _rows(request, desk, supplier if data is not None else None)
    names = sorted({*rows, *([supplier] if data is not None else [])} - {""}, key=str.casefold)
    return [
        NewOrderForm(
            name, rows.get(name, []), data if data is not None and name == supplier else None, number
        )
        for number, name in enumerate([*names, ""])
    ]


def _rows(request: HttpRequest, desk: Desk, sent_for: str | None) -> Mapping[str, list[Row]]:
    """What falls short, by supplier; with it what was asked for by name, and what was sent."""
    boats = list(Boat.objects.of_base(desk.base.pk, desk.today).values_list("pk", flat=True))
    every = {one.spare.pk: one for one in shelves(desk.base, boats, on=desk.today)}
    wanted = {key: one.spare for key, one in every.items() if one.order.quantity}
    by = {key: spare.supplier for key, spare in wanted.items()}
    asked = row_number(request.GET.get("part", "")) or 0
    named = (SENT.fullmatch(name) for name in request.POST)
    sent = [key for one in named if one is not None and (key := row_number(one[1]))]
    for key, spare in Spare.objects.in_bulk([asked, *sent]).items():
        wanted[key] = spare
        by[key] = sent_for if sent_for is not None and key in sent else by.get(key, spare.supplier)
    asked_by_number = newest_of(wanted.values())
    asks = prices_of({spare.pk for spare in asked_by_number.values()}, base=desk.base.pk)
    found: dict[str, list[Row]] = defaultdict(list)
    for key, spare in sorted(wanted.items(), key=lambda one: (one[1].name, one[1].code)):
        shelf = every.get(key)
        number = asked_by_number[key]
        price = asked_by(by[key], asks.get(number.pk, ()), on=desk.today, quantity=_to_order(shelf))
        found[by[key]].append(Row(spare, shelf, money.each(price), number if number != spare else None))
    return found


def _to_order(shelf: Shelf | None) -> Any:
    return (shelf.order.quantity if shelf else 0) or 1


def _suppliers(desk: Desk) -> list[str]:
    """Those of the parts and of the orders so far, to choose from."""
    of_parts = Spare.objects.exclude(supplier="").order_by().values_list("supplier", flat=True).distinct()
    of_orders = Order.objects.filter(base=desk.base).order_by().values_list("supplier", flat=True).distinct()
    return sorted({*of_parts, *of_orders}, key=str.casefold)
