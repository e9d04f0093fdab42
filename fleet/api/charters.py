"""Charters, the boats under them, and the skippers' links: to read; links are made and ended here."""

from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.fields import Body, Ref
from fleet.api.filters import BaseCode, code, yes_no
from fleet.api.filters import day as a_day
from fleet.api.ledgers import LedgerTable
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Table
from fleet.charters.links import make_link, revoke_link
from fleet.charters.models import Charter, CharterBoat, Link


def charters_of(caller: Caller) -> QuerySet[Charter]:
    """Charters of the boats of one's bases."""
    return Charter.objects.filter(boat__in=caller.boats)


class CharterShape(Shape):
    boat = CodeOf("boat.code")

    class Meta:
        model = Charter
        fields = (
            *("id", "code", "sort", "boat", "starts_on", "leaves_at", "ends_on", "back_at"),
            *("berth", "persons", "skipper", "cancelled_at"),
        )


class CharterFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "that has this boat")
    charter = code("code", "with this code")
    day = filters.DateFilter(method="out_on", label="out on this day")
    from_day = a_day("ends_on", "that ends on this day or later", "gte")
    to_day = a_day("starts_on", "that goes out on this day or before", "lte")
    cancelled = yes_no("called off", field_name="cancelled_at", lookup_expr="isnull", exclude=True)

    def out_on(self, rows: QuerySet[Any], name: str, value: Any) -> QuerySet[Any]:
        return rows.filter(starts_on__lte=value, ends_on__gt=value)


class Charters(Table):
    """Who has which boat from when to when."""

    shape, filterset_class = CharterShape, CharterFilter

    def rows(self) -> QuerySet[Charter]:
        return charters_of(self.caller).order_by()

    def base_of(self, row: Charter) -> int:
        return self.caller.boats[row.boat_id]


class CharterBoatShape(LedgerShape):
    charter = CodeOf("charter.code")
    boat = CodeOf("boat.code")

    class Meta:
        model = CharterBoat
        fields = ("id", "charter", "boat", "from_on", "from_at", "why", *LEDGER)


class CharterBoatFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "this boat")
    charter = code("charter__code", "of this charter")


class CharterBoats(LedgerTable):
    """The boats a charter had, and from which day on, once it was changed."""

    shape, filterset_class = CharterBoatShape, CharterBoatFilter

    def mine(self) -> QuerySet[CharterBoat]:
        theirs = Q(boat__in=self.caller.boats) | Q(charter__boat__in=self.caller.boats)
        return CharterBoat.objects.filter(theirs)

    def base_of(self, row: CharterBoat) -> int | None:
        return self.caller.boats.get(row.charter.boat_id)


class LinkShape(Shape):
    charter = CodeOf("charter.code")
    made_by = CodeOf("made_by.name", allow_null=True)

    class Meta:
        model = Link
        fields = ("id", "charter", "made_at", "made_by", "ends_at", "revoked_at")


class LinkMade(serializers.Serializer):
    """A link and its address, which is shown this once."""

    id = serializers.IntegerField()
    charter = serializers.CharField()
    ends_at = serializers.DateTimeField()
    address = serializers.URLField()


class LinkBody(Body):
    charter = Ref(charters_of, help_text="its code")


class LinkFilter(filters.FilterSet):
    charter = code("charter__code", "of this charter")


class Links(Table):
    """The skippers' ways in: made for one charter, shown once, ended by DELETE."""

    shape, takes, filterset_class = LinkShape, LinkBody, LinkFilter
    gives = {"create": LinkMade}
    needs = {"GET": "change charters", "POST": "change charters", "DELETE": "change charters"}
    http_method_names = ("get", "post", "delete", "head", "options")

    def rows(self) -> QuerySet[Link]:
        bases = self.caller.bases_for("change charters")
        theirs = [boat for boat, base in self.caller.boats.items() if base in bases]
        return Link.objects.filter(charter__boat__in=theirs).order_by()

    def create(self, request: Request) -> Response:
        charter = self.body(LinkBody, request.data).validated_data["charter"]
        self.allow_at(self.caller.boats[charter.boat_id])
        link, secret = make_link(charter, at=self.caller.now, by=self.caller.person)
        address = request.build_absolute_uri(f"/s/{secret}/")
        made = {"id": link.pk, "charter": charter.code, "ends_at": link.ends_at, "address": address}
        return Response(made, status=201)

    def destroy(self, request: Request, pk: str) -> Response:
        revoke_link(self.one(pk), at=self.caller.now, by=self.caller.person)
        return Response(status=204)
