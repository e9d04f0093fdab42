"""The bases one works at."""

from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.answers import as_money
from fleet.api.fields import Amount, RowBody
from fleet.api.filters import code
from fleet.api.registers import Register
from fleet.api.shapes import Shape
from fleet.api.tables import Row
from fleet.bases.models import Base

SPENT: dict[str, Any] = {"places": 2, "required": False, "allow_null": True}
MISSED, ORDERED = "what a part missing on a Saturday costs", "what one order costs beside its parts"
MONEY = ("missed_saturday", "order_cost")
NOT_FOR_ALL = (*MONEY, "holding_percent")  # null to who may not see prices


class BaseShape(Shape):
    missed_saturday = Amount(help_text=MISSED, **SPENT)
    order_cost = Amount(help_text=ORDERED, **SPENT)

    class Meta:
        model = Base
        fields = (
            *("id", "code", "name", "timezone", "phone", "workday_minutes", "boat_minutes"),
            *("deferred_at_once", "currency", *NOT_FOR_ALL),
        )


class BaseBody(RowBody):
    missed_saturday = Amount(least="1", help_text=MISSED, **SPENT)
    order_cost = Amount(help_text=ORDERED, **SPENT)

    class Meta:
        model = Base
        fields = (
            *("name", "phone", "workday_minutes", "boat_minutes", "deferred_at_once", "currency"),
            *NOT_FOR_ALL,
        )


class BaseFilter(filters.FilterSet):
    base = code("code", "with this code")


class Bases(Register):
    """The bases you work at; a manager changes their rules."""

    shape, takes, filterset_class = BaseShape, BaseBody, BaseFilter
    needs = {"GET": "see", "PATCH": "change the base's rules"}
    http_method_names = ("get", "patch", "head", "options")

    def rows(self) -> QuerySet[Base]:
        return Base.objects.filter(pk__in=self.caller.bases)

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        for row in rows:
            seen = self.caller.may("see prices", row["id"])
            row.update({name: row[name] if seen else None for name in NOT_FOR_ALL if name in row})
            row.update({name: as_money(row[name], 2) for name in MONEY if name in row})

    def base_of(self, row: Any) -> int:
        return int(row.pk)
