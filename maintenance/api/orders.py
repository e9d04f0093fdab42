"""Orders of parts, by supplier: what was ordered, what of it came, how each stands."""

from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.answers import as_money
from fleet.api.boat_register import bases_of
from fleet.api.caller import Caller
from fleet.api.fields import Amount, Body, LedgerBody, Ref, each, how_many
from fleet.api.filters import code, days, yes_no
from fleet.api.ledgers import with_client_id
from fleet.api.problems import Conflict
from fleet.api.register_fields import Line, line
from fleet.api.registers import Register
from fleet.api.schema import KEY, DescribedOnce
from fleet.api.shapes import CodeOf, Shape, names_of
from fleet.api.tables import Row
from maintenance.api.prices import currency
from maintenance.api.spares import spares_known
from maintenance.ordering.actions import Wanted, change_order, make_order
from maintenance.ordering.models import Order
from maintenance.ordering.money import Money
from maintenance.ordering.orders import Line as Asked
from maintenance.ordering.orders import Standing, orders_of
from maintenance.ordering.standing import Stands

MOST_LINES = 200
MINE = "client_id: wanted a new one, for it is another base's"


def orders_seen(caller: Caller) -> QuerySet[Order]:
    """The orders of one's bases."""
    return Order.objects.filter(base__in=caller.bases).order_by()


def standing_of(caller: Caller, orders: Sequence[int] | None = None) -> dict[int, Standing]:
    """How orders of one's bases stand today, each base's by its own day."""
    found = [one for base in caller.bases for one in orders_of(base, on=caller.today(base), orders=orders)]
    return {one.order.pk: one for one in found}


class OrderLineShape(serializers.Serializer):
    """So much of a part, what of it came, and what one costs there."""

    spare = serializers.CharField()
    name = serializers.CharField()
    part_number = serializers.CharField(allow_blank=True)
    unit = serializers.CharField(allow_blank=True)
    quantity = serializers.DecimalField(10, 3)
    came = serializers.DecimalField(None, 3)
    waits = serializers.DecimalField(None, 3, help_text="what is still to come")
    each = Amount(allow_null=True, help_text="what one costs; null: not known, or not for you to see")
    currency = serializers.CharField(allow_null=True)


class OrderShape(Shape):
    base = CodeOf("base.code")
    made_by = CodeOf("made_by.name", allow_null=True, help_text="by name")
    state = serializers.ChoiceField([state.value for state in Stands])
    late = serializers.IntegerField(help_text="days past the day it was promised for; 0: not late")
    lines = OrderLineShape(many=True)
    beside = ("state", "late", "lines")

    class Meta:
        model = Order
        fields = (
            *("id", "base", "supplier", "number", "words", "state", "late", "lines", "made_at", "made_by"),
            *("sent_on", "expected_on", "closed_on", "closed_why", "client_id"),
        )


class OrderLineBody(Body):
    """So much of a part, and what one costs there, where that is known."""

    spare = Ref(spares_known, help_text="its code")
    quantity = how_many("0.001")
    each = Amount(required=False, allow_null=True, help_text="what one costs, without tax")
    currency = currency(required=False, help_text="of that price; the base's unless told")

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        if given.get("currency") and given.get("each") is None:
            raise serializers.ValidationError({"currency": ["wanted nothing where no price is given"]})
        return given


class OrderChange(Body):
    """Other lines in place of those there are, or other words, while it is not sent."""

    lines = each(OrderLineBody, MOST_LINES)
    words = line(500)


class OrderBody(OrderChange, LedgerBody):
    """What is to be ordered of one supplier."""

    base = Ref(bases_of, help_text="the base's code")
    supplier = Line(max_length=120)
    number = line(60, help_text="the supplier's or the base's own")


class OrderFilter(filters.FilterSet):
    base = code("base__code", "of this base")
    supplier = filters.CharFilter(max_length=120, label="from this supplier")
    spare = code("lines__spare__code", "of this spare among others")
    state = filters.ChoiceFilter(
        choices=[(state.value, state.value) for state in Stands], method="as_it_stands", label="that stand so"
    )
    open = yes_no("of which something is still to be done", method="by_end")
    late = yes_no("past the day they were promised for", method="by_promise")
    locals().update(days("sent_on"))

    def as_it_stands(self, rows: QuerySet[Order], name: str, value: str) -> QuerySet[Order]:
        return rows.filter(pk__in=[pk for pk, one in self._standing() if one.state == value])

    def by_end(self, rows: QuerySet[Order], name: str, value: bool) -> QuerySet[Order]:
        return rows.filter(pk__in=[pk for pk, one in self._standing() if one.open == value])

    def by_promise(self, rows: QuerySet[Order], name: str, value: bool) -> QuerySet[Order]:
        return rows.filter(pk__in=[pk for pk, one in self._standing() if bool(one.late) == value])

    def _standing(self) -> Any:
        return standing_of(self.request.caller_of_api).items()


class Orders(Register):
    """Orders to suppliers; that one was sent, came or is closed is said at order-steps."""

    shape, takes, changes, filterset_class = OrderShape, OrderBody, OrderChange, OrderFilter
    schema = DescribedOnce()
    asks = {"create": (KEY,)}
    needs = {"GET": "see", "POST": "order parts", "PATCH": "order parts"}

    def rows(self) -> QuerySet[Order]:
        return orders_seen(self.caller)

    def base_of(self, row: Order) -> int:
        return row.base_id

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        add_standing(rows, self.caller)

    def create(self, request: Request) -> Response:
        """Writes an order down, once for one `client_id`; it is not sent yet."""
        given = self.body(OrderBody, with_client_id(request)).validated_data
        base = given.pop("base")
        self.allow_at(base.pk)
        client_id = given["client_id"] = given.get("client_id") or None
        there = Order.objects.filter(client_id=client_id).first() if client_id else None
        if there is not None and there.base_id != base.pk:
            raise Conflict(MINE)
        wanted = [wanted_of(one, base.currency) for one in given.pop("lines")]
        order = make_order(base, given.pop("supplier"), wanted, **given, **self.when)
        return Response(told_order(order, self.caller), status=200 if there is not None else 201)

    def change(self, row: Order, given: dict[str, Any]) -> None:
        lines = given.get("lines")
        wanted = None if lines is None else [wanted_of(one, row.base.currency) for one in lines]
        change_order(row, wanted, words=given.get("words"))


def wanted_of(said: dict[str, Any], usual: str) -> Wanted:
    """One line as it was sent, its price in the base's currency where none is said."""
    price = said.get("each")
    money = None if price is None else Money(price, said.get("currency") or usual)
    return Wanted(said["spare"], said["quantity"], money)


def told_order(order: Order, caller: Caller) -> Row:
    """What is told of one order, as the list tells it."""
    columns = OrderShape.columns()
    values = Order.objects.filter(pk=order.pk).values_list(*columns.values()).get()
    row = dict(zip(columns, values, strict=True))
    add_standing([row], caller)
    return {name: row[name] for name in names_of(OrderShape)}


def add_standing(rows: Sequence[Row], caller: Caller) -> None:
    """Adds to rows of orders how they stand and their lines, prices only for who may see them."""
    found = standing_of(caller, [row["id"] for row in rows])
    for row in rows:
        one = found[row["id"]]
        prices = caller.may("see prices", one.order.base_id)
        lines = [_told(asked, prices) for asked in one.lines]
        row.update(state=one.state.value, late=one.late, lines=lines)


def _told(asked: Asked, prices: bool) -> Row:
    spare, row = asked.row.spare, asked.row
    return {
        "spare": spare.code,
        "name": spare.name,
        "part_number": spare.part_number,
        "unit": spare.unit,
        "quantity": row.quantity,
        "came": asked.asked.came,
        "waits": asked.asked.waits,
        "each": as_money(row.each) if prices else None,
        "currency": (row.currency or None) if prices else None,
    }
