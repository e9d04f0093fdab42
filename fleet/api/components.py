"""Components, where each has been, and the dates printed on them: to read."""

from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.db.models import OuterRef, QuerySet, Subquery
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.filters import BaseCode, code, days
from fleet.api.ledgers import LedgerTable
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Row, Table
from fleet.boats.models import Component, Fitting, PrintedDate


def components_of(caller: Caller) -> QuerySet[Component]:
    """What is on the boats of one's bases, or was last on one of them."""
    stays = Fitting.objects.standing().filter(component=OuterRef("pk")).order_by("-fitted_on", "-pk")
    rows = Component.objects.annotate(last_boat=Subquery(stays.values("boat")[:1]))
    return rows.filter(last_boat__in=caller.boats).order_by()


class ComponentShape(Shape):
    kind = CodeOf("kind.code")
    inside = CodeOf("inside.code", allow_null=True)
    boat = serializers.CharField(allow_null=True, help_text="where it is fitted now")
    position = serializers.CharField(allow_blank=True)
    beside = ("boat", "position")

    class Meta:
        model = Component
        fields = (
            *("id", "code", "kind", "maker", "model", "serial", "date_code", "made_on"),
            *("quantity", "unit", "inside", "boat", "position"),
        )


class ComponentFilter(filters.FilterSet):
    base = BaseCode("last_boat")
    boat = filters.CharFilter(method="of_boat", max_length=64, label="that is on this boat, or was last")
    component = code("code", "with this code")
    kind = code("kind__code", "of this kind")
    system = code("kind__system", "of this system")

    def of_boat(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        caller = self.request.caller_of_api
        from fleet.boats.models import Boat

        return rows.filter(last_boat__in=Boat.objects.filter(code=value, pk__in=caller.boats).values("pk"))


class Components(Table):
    """The things fitted to your boats, each with a history."""

    shape, filterset_class = ComponentShape, ComponentFilter

    def rows(self) -> QuerySet[Component]:
        return components_of(self.caller)

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        stays = Fitting.objects.standing().filter(
            component__in=[row["id"] for row in rows], removed_on__isnull=True
        )
        where = {pk: rest for pk, *rest in stays.values_list("component_id", "boat__code", "position")}
        for row in rows:
            row["boat"], row["position"] = where.get(row["id"], (None, ""))

    def base_of(self, row: Any) -> int | None:
        last = Fitting.objects.standing().filter(component=row).order_by("fitted_on", "pk").last()
        return self.caller.boats.get(last.boat_id) if last else None


class FittingShape(LedgerShape):
    component = CodeOf("component.code")
    boat = CodeOf("boat.code")
    meter = CodeOf("meter.name", allow_null=True)

    class Meta:
        model = Fitting
        fields = (
            *("id", "component", "boat", "meter", "place", "position", "fitted_on", "dial"),
            *("removed_on", "dial_removed", "why", *LEDGER),
        )


class FittingFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "on this boat")
    component = code("component__code", "of this component")
    kind = code("component__kind__code", "of this kind")
    system = code("component__kind__system", "of this system")


class Fittings(LedgerTable):
    """Where each component has been, from when to when."""

    shape, filterset_class = FittingShape, FittingFilter

    def mine(self) -> QuerySet[Fitting]:
        return Fitting.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: Fitting) -> int:
        return self.caller.boats[row.boat_id]


class PrintedDateShape(LedgerShape):
    component = CodeOf("component.code")
    paper = CodeOf("paper.sha256", allow_null=True)

    class Meta:
        model = PrintedDate
        fields = ("id", "component", "what", "as_written", "good_through", "state", "paper", *LEDGER)


class PrintedDateFilter(filters.FilterSet):
    boat = filters.CharFilter(method="of_boat", max_length=64, label="on this boat")
    component = code("component__code", "on this component")
    kind = code("component__kind__code", "of this kind")
    system = code("component__kind__system", "of this system")
    locals().update(days("good_through"))

    def of_boat(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        stays = Fitting.objects.standing().filter(boat__code=value, removed_on__isnull=True)
        return rows.filter(component__in=stays.values("component"))


class PrintedDates(LedgerTable):
    """The dates printed on things and their certificates, as written and as understood."""

    shape, filterset_class = PrintedDateShape, PrintedDateFilter

    def mine(self) -> QuerySet[PrintedDate]:
        return PrintedDate.objects.filter(component__in=components_of(self.caller).values("pk"))

    def base_of(self, row: PrintedDate) -> int | None:
        return Components.base_of(self, row.component)  # type: ignore[arg-type]
