"""Boats, their terms, places and meters, and the kinds of thing fitted to them: to read."""

from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet
from rest_framework import serializers

from fleet.api.filters import BaseCode, code
from fleet.api.ledgers import LedgerTable
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Row, Table
from fleet.boats.models import Boat, BoatTerms, Kind, KindDate, Meter, Place

LEDGER = ("recorded_at", "recorded_by", "client_id", "replaces", "replaced_by", "void")


class LedgerShape(Shape):
    # A ledger's row: what it says, then when and by whom, and what it stands for.

    recorded_by = CodeOf("recorded_by.name", allow_null=True, help_text="by name")
    replaced_by = serializers.IntegerField(source="replaced_by.pk", read_only=True, allow_null=True)


class BoatShape(Shape):
    base = serializers.CharField(read_only=True, help_text="whose she is today")
    beside = ("base",)

    class Meta:
        model = Boat
        fields = ("id", "code", "name", "base", "design", "built", "hull_no", "fuel_l", "water_l")


class BoatFilter(filters.FilterSet):
    base = BaseCode("pk")
    boat = code("code", "with this code")


class Boats(Table):
    """The boats of your bases today."""

    shape, filterset_class = BoatShape, BoatFilter

    def rows(self) -> QuerySet[Boat]:
        return Boat.objects.filter(pk__in=self.caller.boats).order_by()

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        for row in rows:
            row["base"] = self.caller.bases[self.caller.boats[row["id"]]].code

    def base_of(self, row: Any) -> int:
        return self.caller.boats[row.pk]


class TermsShape(LedgerShape):
    boat = CodeOf("boat.code")
    base = CodeOf("base.code")

    class Meta:
        model = BoatTerms
        fields = ("id", "boat", "from_on", "base", "flag", "area", "persons", "cabins", "state", *LEDGER)


class TermsFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")


class Terms(LedgerTable):
    """From which day on whose boat she is, where she may sail, how many she carries."""

    shape, filterset_class = TermsShape, TermsFilter

    def mine(self) -> QuerySet[BoatTerms]:
        return BoatTerms.objects.filter(boat__in=self.caller.boats)


class PlaceShape(Shape):
    base = CodeOf("base.code", allow_null=True)
    boat = CodeOf("boat.code", allow_null=True)

    class Meta:
        model = Place
        fields = ("id", "code", "name", "sort", "base", "boat", "parent")


class PlaceFilter(filters.FilterSet):
    base = code("base__code", "in this base's stores")
    boat = code("boat__code", "aboard this boat")


class Places(Table):
    """Where things lie: in your bases' stores, and aboard."""

    shape, filterset_class = PlaceShape, PlaceFilter

    def rows(self) -> QuerySet[Place]:
        mine = Q(base__in=self.caller.bases) | Q(boat__in=self.caller.boats)
        return Place.objects.filter(mine).order_by()

    def base_of(self, row: Place) -> int:
        return row.base_id or self.caller.boats[row.boat_id or 0]


class MeterShape(Shape):
    boat = CodeOf("boat.code")

    class Meta:
        model = Meter
        fields = ("id", "boat", "name", "counts")


class MeterFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")


class Meters(Table):
    """The hour meters aboard."""

    shape, filterset_class = MeterShape, MeterFilter

    def rows(self) -> QuerySet[Meter]:
        return Meter.objects.filter(boat__in=self.caller.boats).order_by()

    def base_of(self, row: Meter) -> int:
        return self.caller.boats[row.boat_id]


class KindShape(Shape):
    dates = serializers.ListField(child=serializers.CharField(), help_text="the dates one of it carries")
    beside = ("dates",)

    class Meta:
        model = Kind
        fields = ("id", "code", "name", "system", "function", "date_required", "dates")


class KindFilter(filters.FilterSet):
    kind = code("code", "with this code")
    system = code("system", "of this system")


class Kinds(Table):
    """The kinds of thing; all bases of this copy share them."""

    shape, filterset_class = KindShape, KindFilter

    def rows(self) -> QuerySet[Kind]:
        return Kind.objects.order_by()

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        dates: dict[int, list[str]] = {}
        of = KindDate.objects.filter(kind__in=[row["id"] for row in rows])
        for kind, what in of.values_list("kind_id", "what"):
            dates.setdefault(kind, []).append(what)
        for row in rows:
            row["dates"] = dates.get(row["id"], [])
