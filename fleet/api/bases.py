"""The bases one works at."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.fields import RowBody
from fleet.api.filters import code
from fleet.api.registers import Register
from fleet.api.shapes import Shape
from fleet.bases.models import Base


class BaseShape(Shape):
    class Meta:
        model = Base
        fields = (
            *("id", "code", "name", "timezone", "phone", "workday_minutes", "boat_minutes"),
            "deferred_at_once",
        )


class BaseBody(RowBody):
    class Meta:
        model = Base
        fields = ("name", "phone", "workday_minutes", "boat_minutes", "deferred_at_once")


class BaseFilter(filters.FilterSet):
    base = code("code", "with this code")


class Bases(Register):
    """The bases you work at; a manager changes their rules."""

    shape, takes, filterset_class = BaseShape, BaseBody, BaseFilter
    needs = {"GET": "see", "PATCH": "change the base's rules"}
    http_method_names = ("get", "patch", "head", "options")

    def rows(self) -> QuerySet[Base]:
        return Base.objects.filter(pk__in=self.caller.bases)

    def base_of(self, row: Any) -> int:
        return int(row.pk)
