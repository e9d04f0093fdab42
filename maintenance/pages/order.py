"""One order: its lines, the words for its supplier, and what can be done with it as it stands."""

import uuid
from collections.abc import Callable
from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from fleet.pages.desk import Desk, at_base
from fleet.pages.typed import say
from fleet.refused import Refused
from maintenance.ordering import actions
from maintenance.ordering.asking import asked_for
from maintenance.ordering.models import Order, OrderMove
from maintenance.ordering.money import cost_of
from maintenance.ordering.orders import Standing, orders_of
from maintenance.ordering.sending import send_as_typed
from maintenance.ordering.standing import Stands
from maintenance.pages import order_words, wording
from maintenance.pages.fields import row_number, sent_id
from maintenance.pages.order_arrived import arrived, put_on_shelves
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
            return _here_again(what, one, desk, request)
    context = _told(one, desk) | {"forms": shown, "client_id": _new_id(request)}
    return render(request, "maintenance/order.html", context, status=422 if what else 200)


def _here_again(what: str, one: Standing, desk: Desk, request: HttpRequest) -> HttpResponse:
    """The order's page; where its lines were kept, what was typed of its sending goes along."""
    where = reverse("order", args=[desk.base.code, one.order.pk])
    typed = {f"send-{name}": request.POST.get(f"send-{name}", "")[:60] for name in SendForm.base_fields}
    along = urlencode({name: text for name, text in typed.items() if text}) if what == "lines" else ""
    return redirect(f"{where}?{along}" if along else where)


def _new_id(request: HttpRequest) -> str:
    return request.POST.get("client_id") or uuid.uuid4().hex


def _forms(one: Standing, desk: Desk, request: HttpRequest) -> dict[str, forms.Form]:
    """Each form by what it does, the one that was sent bound to what was typed."""
    what = request.POST.get("what", "")

    def sent(name: str) -> Any:
        return request.POST if name == what else None

    came = CameForm(desk.base, one.lines, desk.today, sent("receive"))
    if came.is_bound and request.POST.get("all"):
        came.fill_in()
    expected = {"expected_on": one.order.expected_on}
    return {
        **_going_out(one, desk, request),
        "expect": ExpectForm(sent("expect"), initial=expected, prefix="expect"),
        "receive": came,
        "close": CloseForm(sent("close"), prefix="close"),
    }


def _going_out(one: Standing, desk: Desk, request: HttpRequest) -> dict[str, forms.Form]:
    """The lines and the sending, which go together while the order is to be sent."""
    what, data, row = request.POST.get("what", ""), request.POST, one.order
    with_lines = what == "send" and any(name.startswith("lines-") for name in data)
    lines = LinesForm(one.lines, row, data if what == "lines" or with_lines else None)
    beside = lines if _to_send(one) or with_lines else None
    days = {"sent_on": row.sent_on or desk.today, "expected_on": row.expected_on, "number": row.number}
    typed = data if what == "lines" else request.GET
    days |= {name: typed[f"send-{name}"] for name in days if f"send-{name}" in typed}
    sent = data if what == "send" else None
    return {"lines": lines, "send": SendForm(sent, lines=beside, initial=days, prefix="send")}


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
            say(_about(form, refused, one), refused)
    return None


def _about(form: forms.Form, refused: Refused, one: Standing) -> forms.Form:
    """The form that a refusal is about: the lines, where it is they that cannot be sent so."""
    if isinstance(form, SendForm) and form.lines is not None and refused.field == "lines" and _to_send(one):
        return form.lines
    return form


def _lines(form: LinesForm, one: Standing, desk: Desk, request: HttpRequest) -> str:
    actions.change_order(one.order, list(form.wanted()), words=form.cleaned_data["words"])
    return "The lines are kept as they stand now."


def _send(form: SendForm, one: Standing, desk: Desk, request: HttpRequest) -> str:
    said = form.cleaned_data | {"today": desk.today}
    if form.lines is not None and form.lines.is_bound:
        wanted, words = list(form.lines.wanted()), form.lines.cleaned_data["words"]
        row = send_as_typed(one.order, wanted, words=words, **said)
    else:
        row = actions.send_order(one.order, **said)
    return f"Sent to {row.supplier} on {wording.day(row.sent_on, desk.today)}."


def _expect(form: ExpectForm, one: Standing, desk: Desk, request: HttpRequest) -> str:
    row = actions.expect_order(one.order, **form.cleaned_data)
    if row.expected_on is None:
        return "No day is said any more."
    return f"To be here on {wording.day(row.expected_on, desk.today)}."


def _receive(form: CameForm, one: Standing, desk: Desk, request: HttpRequest) -> str:
    stamps: dict[str, Any] = {"at": desk.now, "by": desk.person, "client_id": sent_id(request.POST)}
    moves = actions.receive_order(one.order, list(form.came()), day=form.cleaned_data["day"], **stamps)
    return put_on_shelves(moves, one_of(desk, one.order.pk), desk)


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


def _to_send(one: Standing) -> bool:
    return one.state is Stands.TO_SEND and one.order.closed_on is None


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
        "to_send": _to_send(one),
        "waits": one.state in (Stands.SENT, Stands.PART),
        "may_order": may_order,
        "may_see": desk.may("see prices"),
        "cost": cost_of((line.row.quantity, line.each) for line in one.lines),
        "made": wording.moment(one.order.made_at, desk.base.timezone),
    }
