"""What is done with an order: sent, promised for a day, come in, closed, opened again."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.fields import Body, LedgerBody, OneOf, Ref, each, how_many, shown
from fleet.api.ledgers import with_client_id
from fleet.api.problems import Conflict
from fleet.api.register_fields import UsualDay, about, line
from fleet.api.schema import KEY, DescribedOnce
from fleet.refused import Refused
from maintenance.api.orders import MOST_LINES, OrderShape, orders_seen, told_order
from maintenance.api.returns import places_seen
from maintenance.api.spares import spares_known
from maintenance.api.stock_moves import ANOTHERS, Stores
from maintenance.ordering.actions import (
    Came,
    close_order,
    expect_order,
    open_again,
    receive_order,
    send_order,
)
from maintenance.ordering.models import Order, OrderLine
from maintenance.spares.lots import Marked
from maintenance.spares.models import StockMove

SENT, PROMISED, CAME, CLOSED, OPENED = STEPS = ("sent", "promised", "came", "closed", "opened again")
ONLY = {
    "on": (SENT, CAME),
    "expected_on": (SENT, PROMISED),
    "number": (SENT,),
    "came": (CAME,),
    "why": (CLOSED,),
}
CALLED = {"sent_on": "on", "day": "on", "lines": "came"} | dict.fromkeys(
    ("quantity", "to_place", "lot", "mark", "serial"), "came"
)


class CameBody(Body):
    """So much of a part that came, the place it was put, and what is written on it."""

    spare = Ref(spares_known, help_text="its code, as it was ordered")
    quantity = how_many("0.001")
    place = Ref(places_seen, by="pk", help_text="the place's id")
    mark = line(80, help_text="the lot, as it is written on it")
    serial = line(80, help_text="of a single unit: text, it keeps its zeros")
    expires_on = UsualDay(required=False, allow_null=True, help_text="the last day it is good")


class OrderStepBody(LedgerBody):
    """Sent: on a day, promised for another where the supplier said so. Promised: for another day; null takes
    it back. Came: what of it, and where it was put. Closed: why nothing more is waited for."""

    order = Ref(orders_seen, by="pk", help_text="its id")
    step = OneOf(choices=STEPS)
    on = UsualDay(required=False, help_text="sent, came: that day; today unless told")
    expected_on = UsualDay(
        required=False, allow_null=True, help_text="sent, promised: the day it is due here"
    )
    number = line(60, help_text="sent: the supplier's own")
    came = each(CameBody, MOST_LINES, required=False)
    why = line(200, help_text="closed: the reason")

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        step = given["step"]
        wrong = {
            name: [f"wanted nothing where the step is “{step}”"]
            for name, steps in ONLY.items()
            if given.get(name) and step not in steps
        }
        if step == PROMISED and "expected_on" not in given:
            wrong["expected_on"] = ["wanted the day it is promised for, or null"]
        if wrong:
            raise serializers.ValidationError(wrong)
        return given


class OrderSteps(Stores):
    """What is done with orders, one after the other; answered with the order as it stands then. What came
    is kept once for one `client_id` and listed among the stock moves; the other steps may be said twice."""

    schema = DescribedOnce()
    takes, gives, asks = OrderStepBody, {"create": OrderShape}, {"create": (KEY,)}
    needs = {"POST": "order parts"}
    http_method_names = ("post", "options")

    def create(self, request: Request) -> Response:
        """Says one step of an order."""
        given = self.body(OrderStepBody, with_client_id(request)).validated_data
        order, step = given["order"], given["step"]
        self.allow_at(order.base_id)
        known = step == CAME and _known(order, given.get("client_id"))
        with about("order", **CALLED):
            self._say(order, step, given)
        return Response(told_order(order, self.caller), status=200 if known else 201)

    def _say(self, order: Order, step: str, given: dict[str, Any]) -> None:
        today: date = self.caller.today(order.base_id)
        day, expected_on = given.get("on") or today, given.get("expected_on")
        if step == SENT:
            number = given.get("number", "")
            send_order(order, sent_on=day, expected_on=expected_on, number=number, today=today)
        elif step == PROMISED:
            expect_order(order, expected_on=expected_on)
        elif step == CAME:
            came = _came(order, given.get("came", ()))
            self.allow_in(one.place for one in came)
            receive_order(order, came, day=day, client_id=given.get("client_id") or None, **self.when)
        elif step == CLOSED:
            close_order(order, on=today, why=given.get("why", ""))
        else:
            open_again(order)


def _known(order: Order, client_id: str | None) -> bool:
    """Whether what came was kept already; Conflict where the `client_id` is that of something else."""
    move = StockMove.objects.filter(client_id=client_id).first() if client_id else None
    if move is None:
        return False
    if not order.lines.filter(moves__move=move).exists():
        raise Conflict(ANOTHERS)
    return True


def _came(order: Order, said: Sequence[dict[str, Any]]) -> list[Came]:
    lines = {line.spare_id: line for line in order.lines.select_related("spare")}
    return [_one(lines.get(one["spare"].pk), one) for one in said]


def _one(line: OrderLine | None, one: dict[str, Any]) -> Came:
    if line is None:
        raise Refused(f"came: found {shown(one['spare'].code)}; wanted parts of this order")
    marked = Marked(one.get("mark", ""), one.get("serial", ""), one.get("expires_on"))
    return Came(line, one["quantity"], one["place"], marked)
