"""One order: its lines, the words for its supplier, and what can be done with it as it stands."""

import uuid
from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.ordering import actions
from maintenance.ordering.asking import asked_for
from maintenance.ordering.models import Order, OrderMove
from maintenance.ordering.money import cost_of
from maintenance.ordering.orders import Standing, orders_of
from maintenance.ordering.standing import Stands
from maintenance.pages import order_words, wording
from maintenance.pages.fields import row_number, sent_id
from maintenance.pages.order_arrived import arrived
from maintenance.pages.order_came import CameForm
from maintenance.pages.order_forms import CloseForm, ExpectForm, LinesForm, SendForm
from maintenance.pages.order_sheet import in_words

Act = Callable[[Any, Standing, Desk, HttpRequest], str]


def one_of(desk: Desk, order: int) -> Standing:
    """An order of this base as it stands; 404 where there is none."""
    get_object_or_404(Order, pk=order, base=desk.base)
    return orders_of(desk.base.pk, on=desk.today, orders=[order])[0]


@at_base("see", post="order parts")
def order(request: HttpRequest, desk: Desk, order: int) -> HttpResponse:
    """The order as it stands; what is sent is done with it, or kept as typed with what is wrong."""
    one, what = one_of(desk, order), request.POST.get("what", "")
    shown = _forms(one, desk, request)
    if request.method == "POST":
        if what not in ACTS:
            raise Http404
        if (said := _done(what, shown.get(what), one, desk, request)) is not None:
            messages.success(request, said)
            return redirect("order", base=desk.base.code, order=one.order.pk)
    context = _told(one, desk) | {"forms": shown, "client_id": _new_id(request)}
    return render(request, "maintenance/order.html", context, status=422 if what else 200)


def _new_id(request: HttpRequest) -> str:
    return request.POST.get("client_id") or uuid.uuid4().hex


def _forms(one: Standing, desk: Desk, request: HttpRequest) -> dict[str, forms.Form]:
    """Each form by what it does, the one that was sent bound to what was typed."""
    what = request.POST.get("what", "")
    row = one.order
    days = {"sent_on": row.sent_on or desk.today, "expected_on": row.expected_on, "number": row.number}

    def sent(name: str) -> Any:
        return request.POST if name == what else None

    came = CameForm(desk.base, one.lines, desk.today, sent("receive"))
    if came.is_bound and request.POST.get("all"):
        came.fill_in()
    return {
        "lines": LinesForm(one.lines, row, sent("lines")),
        "send": SendForm(sent("send"), initial=days, prefix="send"),
        "expect": ExpectForm(sent("expect"), initial=days, prefix="expect"),
        "receive": came,
        "close": CloseForm(sent("close"), prefix="close"),
    }


def _done(what: str, form: Any, one: Standing, desk: Desk, request: HttpRequest) -> str | None:
    """What was done, in a sentence; None where the form or the order refuses, which the form then says."""
    if form is not None and not form.is_valid():
        return None
    try:
        return ACTS[what](form, one, desk, request)
    except actions.LineRefused as wrong:
        form.say(wrong)
    except Refused as refused:
        if form is None:
            messages.error(request, wording.ended(wording.sentence(refused.wanted)))
        else:
            say(form, refused)
    return None


def _lines(form: LinesForm, one: Standing, desk: Desk, request: HttpRequest) -> str:
    actions.change_order(one.order, list(form.wanted()), words=form.cleaned_data["words"])
    return "The lines are kept as they stand now."


def _send(form: SendForm, one: Standing, desk: Desk, request: HttpRequest) -> str:
    row = actions.send_order(one.order, **form.cleaned_data, today=desk.today)
    return f"Sent to {row.supplier} on {wording.day(row.sent_on, desk.today)}."


def _expect(form: ExpectForm, one: Standing, desk: Desk, request: HttpRequest) -> str:
    row = actions.expect_order(one.order, **form.cleaned_data)
    if row.expected_on is None:
        return "No day is said any more."
    return f"To be here on {wording.day(row.expected_on, desk.today)}."


def _receive(form: CameForm, one: Standing, desk: Desk, request: HttpRequest) -> str:
    stamps: dict[str, Any] = {"at": desk.now, "by": desk.person, "client_id": sent_id(request.POST)}
    moves = actions.receive_order(one.order, list(form.came()), day=form.cleaned_data["day"], **stamps)
    return f"{wording.sentence(wording.many(len(moves), 'part'))} put on the shelf."


def _close(form: CloseForm, one: Standing, desk: Desk, request: HttpRequest) -> str:
    actions.close_order(one.order, on=desk.today, why=form.cleaned_data["why"])
    return "Closed: nothing more is waited for."


def _again(form: None, one: Standing, desk: Desk, request: HttpRequest) -> str:
    actions.open_again(one.order)
    return "Open again: what is still to come is waited for."


def _back(form: None, one: Standing, desk: Desk, request: HttpRequest) -> str:
    key = row_number(request.POST.get("came", "")) or 0
    rows = OrderMove.objects.select_related("line", "move__spare")
    came = get_object_or_404(rows, pk=key, line__order=one.order)
    actions.take_back_arrival(one.order, came, at=desk.now, by=desk.person)
    return f"{came.move.spare}: taken back, it did not come."


ACTS: dict[str, Act] = {
    "lines": _lines,
    "send": _send,
    "expect": _expect,
    "receive": _receive,
    "close": _close,
    "again": _again,
    "back": _back,
}


def _told(one: Standing, desk: Desk) -> dict[str, Any]:
    asked = asked_for(one.lines)
    may_order = desk.may("order parts")
    return {
        "desk": desk,
        "here": "spares",
        "one": one,
        "order": one.order,
        "named": order_words.named(one),
        "state": order_words.state(one),
        "late": order_words.lateness(one),
        "days": order_words.days(one, desk.today),
        "asked": asked,
        "words": in_words(one, asked, desk),
        "rows_of_words": len(one.lines) + 6,
        "came": arrived(one, desk, undo=may_order),
        "to_send": one.state is Stands.TO_SEND and one.order.closed_on is None,
        "waits": one.state in (Stands.SENT, Stands.PART),
        "may_order": may_order,
        "may_see": desk.may("see prices"),
        "cost": cost_of((line.row.quantity, line.each) for line in one.lines),
        "made": wording.moment(one.order.made_at, desk.base.timezone),
    }
