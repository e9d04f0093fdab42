"""What parts cost, from a day on, for who buys at least so many; only for who may see prices."""

from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.core.exceptions import ValidationError as Unfit
from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.answers import as_money
from fleet.api.fields import Amount, Body, Ref, how_many
from fleet.api.filters import code, days
from fleet.api.register_fields import Code, UsualDay, line
from fleet.api.registers import Register
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Row
from maintenance.api.spares import spares_known
from maintenance.spares.keeping import drop, keep_price
from maintenance.spares.models import CURRENCY, Price

CHANGES = "change intervals"


class Currency(Code):
    """Three capital letters."""

    def to_internal_value(self, data: Any) -> str:
        text = super().to_internal_value(data)
        try:
            CURRENCY(text)
        except Unfit as wrong:
            raise serializers.ValidationError(wrong.messages) from wrong
        return text


def currency(**more: Any) -> Currency:
    return Currency(**{"help_text": "three capital letters such as EUR"} | more)


class PriceShape(Shape):
    spare = CodeOf("spare.code")
    each = Amount(help_text="what one costs, without tax")

    class Meta:
        model = Price
        fields = ("id", "spare", "supplier", "from_on", "least", "each", "currency")


class PriceChange(Body):
    """What one costs."""

    from_on = UsualDay(required=False, help_text="from which day on; today unless told")
    least = how_many("0.001", required=False, help_text="for who buys at least so many; 1 unless told")
    each = Amount(help_text="what one costs, without tax")
    currency = currency()


class PriceBody(PriceChange):
    """What one of a part costs from a day on, for who buys at least so many."""

    spare = Ref(spares_known, help_text="its code")
    supplier = line(120, help_text="who asks it; blank: nobody in particular")


class PriceFilter(filters.FilterSet):
    spare = code("spare__code", "of this spare")
    supplier = filters.CharFilter(max_length=120, label="of this supplier")
    currency = filters.CharFilter(max_length=3, label="in this currency")
    locals().update(days("from_on"))


class Prices(Register):
    """What parts cost, as suppliers asked; all bases of this copy share them. What was paid stands with the
    orders. Nothing is ever converted into another currency."""

    shape, takes, changes, filterset_class = PriceShape, PriceBody, PriceChange, PriceFilter
    needs = {"GET": "see prices", "POST": CHANGES, "PATCH": CHANGES, "DELETE": CHANGES}
    http_method_names = ("get", "post", "patch", "delete", "head", "options")

    def rows(self) -> QuerySet[Price]:
        return Price.objects.order_by()

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        for row in rows:
            if "each" in row:
                row["each"] = as_money(row["each"])

    def add(self, given: dict[str, Any]) -> Price:
        return keep_price(Price(**{"from_on": self.caller.latest_today} | given))

    def change(self, row: Price, given: dict[str, Any]) -> None:
        for name, value in given.items():
            setattr(row, name, value)
        keep_price(row)

    def destroy(self, request: Request, pk: str) -> Response:
        drop(self.one(pk))
        return Response(status=204)
