"""A base's orders: what is late first, what waits, then the last that are settled; all or one supplier's."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.pages.desk import Desk, at_base
from maintenance.ordering.money import cost_of
from maintenance.ordering.orders import Standing, orders_of
from maintenance.ordering.standing import NONE, Stands
from maintenance.pages import order_words, wording

LAST = 20  # settled orders shown: older ones are found by their supplier
IN_TURN = (Stands.TO_SEND, Stands.SENT, Stands.PART)


class SupplierForm(forms.Form):
    """Whose orders are asked for; blank: everybody's."""

    supplier = forms.CharField(required=False, max_length=120, label="Supplier")


@at_base("see")
def orders(request: HttpRequest, desk: Desk) -> HttpResponse:
    """The open ones, the latest first, and the last that were received or closed."""
    form = SupplierForm(request.GET)
    supplier = form.cleaned_data["supplier"] if form.is_valid() else ""
    every = orders_of(desk.base.pk, on=desk.today)
    found = [one for one in every if supplier in ("", one.order.supplier)]
    still = sorted((one for one in found if one.open), key=in_turn)
    over = [one for one in found if not one.open]
    settled = over if supplier else over[:LAST]
    context = {
        "desk": desk,
        "here": "spares",
        "form": form,
        "supplier": supplier,
        "suppliers": sorted({one.order.supplier for one in every}, key=str.casefold),
        "open": [_row(one, desk) for one in still],
        "settled": [_row(one, desk) for one in settled],
        "left_out": len(over) - len(settled),
        "late": sum(1 for one in still if one.late),
        "may_order": desk.may("order parts"),
        "may_see": desk.may("see prices"),
    }
    return render(request, "maintenance/orders.html", context, status=200 if form.is_valid() else 422)


def in_turn(one: Standing) -> tuple[int, int, str, int]:
    """The latest on top, then to send, sent, part received; by supplier, the oldest first."""
    return (-one.late, IN_TURN.index(one.state), one.order.supplier.casefold(), one.order.pk)


def _row(one: Standing, desk: Desk) -> dict[str, Any]:
    return {
        "order": one.order,
        "named": order_words.named(one),
        "state": order_words.state(one),
        "late": order_words.lateness(one),
        "days": order_words.days(one, desk.today),
        "parts": [f"{wording.quantity(line.row.quantity)} {line.row.spare.name}" for line in one.lines],
        "waits": _waits(one),
        "cost": _cost(one) if desk.may("see prices") else "",
    }


def _waits(one: Standing) -> str:
    """How many of its parts are still to come, whole or in part."""
    waits = sum(1 for line in one.lines if line.asked.waits > NONE)
    if not one.open or one.state is Stands.TO_SEND:
        return ""
    return f"{waits} of {len(one.lines)} still to come"


def _cost(one: Standing) -> str:
    return str(cost_of((line.row.quantity, line.each) for line in one.lines))
