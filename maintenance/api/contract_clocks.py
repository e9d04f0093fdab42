"""The charter contract's clock: how many hours a base has to put a boat right that is away."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.fields import Body, Whole, each
from fleet.api.filters import code
from fleet.api.register_fields import about
from fleet.api.registers import Register
from fleet.api.shapes import Shape
from fleet.api.tables import Row
from fleet.bases.models import Base
from maintenance.jobs.clock import PUBLISHED, Allowed
from maintenance.jobs.contract import set_contract_clock
from maintenance.jobs.models import ContractClock

MOST_TERMS = 20


class ClockTermShape(serializers.Serializer):
    """For charters of more than so many days, so many hours."""

    over_days = serializers.IntegerField()
    hours = serializers.IntegerField()


class ContractClockShape(Shape):
    base = serializers.CharField(source="code", read_only=True, help_text="its code")
    terms = ClockTermShape(many=True)
    own = serializers.BooleanField(help_text="whether they are the base's own, not the published ones")
    beside = ("terms", "own")

    class Meta:
        model = Base
        fields = ("id", "base", "terms", "own")


class ClockTermBody(Body):
    """For charters of more than so many days, so many hours."""

    over_days = Whole(min_value=0, max_value=365)
    hours = Whole(min_value=1, max_value=24 * 60)

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        """Each is said whole, also where the clock is only changed in part."""
        if lacking := [str(name) for name in self.fields if name not in given]:
            raise serializers.ValidationError({name: ["wanted: it was not given"] for name in lacking})
        return given


class ContractClockBody(Body):
    """The base's own terms in place of those it had; none at all: the published ones hold again."""

    terms = each(ClockTermBody, MOST_TERMS)


class ContractClockFilter(filters.FilterSet):
    base = code("code", "of this base")


class ContractClocks(Register):
    """How many hours each base has to put a boat right that is away; a call-out under way keeps the
    hours it was opened with."""

    shape, takes, filterset_class = ContractClockShape, ContractClockBody, ContractClockFilter
    needs = {"GET": "see", "PATCH": "change the base's rules"}
    http_method_names = ("get", "patch", "head", "options")

    def rows(self) -> QuerySet[Base]:
        return Base.objects.filter(pk__in=self.caller.bases).order_by()

    def base_of(self, row: Any) -> int:
        return int(row.pk)

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        own: dict[int, list[Row]] = defaultdict(list)
        found = ContractClock.objects.filter(base__in=[row["id"] for row in rows]).order_by("over_days")
        for base, days, hours in found.values_list("base_id", "over_days", "hours"):
            own[base].append({"over_days": days, "hours": hours})
        published = [{"over_days": a.over_days, "hours": a.hours} for a in PUBLISHED]
        for row in rows:
            row["own"], row["terms"] = bool(own[row["id"]]), own[row["id"]] or published

    def change(self, row: Base, given: dict[str, Any]) -> None:
        if "terms" in given:
            with about(over_days="terms"):
                set_contract_clock(row, [Allowed(**term) for term in given["terms"]])
