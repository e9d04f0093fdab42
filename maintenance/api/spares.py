"""Spares as they are bought and held, and how many should lie where."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.fields import Body, Ref, how_many
from fleet.api.filters import code, number
from fleet.api.register_fields import Code, Line, UsualDay, count, line
from fleet.api.registers import Register
from fleet.api.shapes import CodeOf, Shape
from fleet.api.stowage import places_of_bases
from fleet.boats.models import Kind, Place
from maintenance.spares.actions import set_allowance
from maintenance.spares.keeping import add_allowance, drop_allowance, keep_spare
from maintenance.spares.models import Allowance, Spare

SETS = {"GET": "see", "POST": "change intervals", "PATCH": "change intervals"}


class SpareShape(Shape):
    kind = CodeOf("kind.code", allow_null=True)

    class Meta:
        model = Spare
        fields = ("id", "code", "name", "maker", "part_number", "unit", "kind", "supplier", "lead_days")


class SpareChange(Body):
    """What a spare is called, and how it is bought."""

    name = Line(max_length=120)
    maker = line(80)
    part_number = line(80, help_text="text: it keeps its zeros")
    unit = line(20)
    kind = Ref(
        lambda caller: Kind.objects.all(),
        required=False,
        allow_null=True,
        help_text="what it is for: its code",
    )
    supplier = line(120)
    lead_days = count(0, 3650)


class SpareBody(SpareChange):
    """A spare, by a code of its own."""

    code = Code()


class SpareFilter(filters.FilterSet):
    spare = code("code", "with this code")
    kind = code("kind__code", "for this kind of thing")
    system = code("kind__system", "for things of this system")
    part_number = code("part_number", "with this part number")


class Spares(Register):
    """The spares; all bases of this copy share them."""

    shape, takes, changes, filterset_class = SpareShape, SpareBody, SpareChange, SpareFilter
    needs = SETS

    def rows(self) -> QuerySet[Spare]:
        return Spare.objects.order_by()

    def add(self, given: dict[str, Any]) -> Spare:
        return keep_spare(Spare(**given))


class AllowanceShape(Shape):
    spare = CodeOf("spare.code")

    class Meta:
        model = Allowance
        fields = ("id", "spare", "place", "quantity", "from_on")


class AllowanceChange(Body):
    """How many should lie there."""

    quantity = how_many()


class AllowanceBody(AllowanceChange):
    """How many of a spare should lie at a place from a day on."""

    spare = Ref(lambda caller: Spare.objects.all(), help_text="its code")
    place = Ref(places_of_bases, by="pk", help_text="the place's id")
    from_on = UsualDay(required=False, help_text="today unless told")


class AllowanceFilter(filters.FilterSet):
    base = code("place__base__code", "in this base's stores")
    boat = code("place__boat__code", "aboard this boat")
    place = number("place", "at the place with this id")
    spare = code("spare__code", "of this spare")


class Allowances(Register):
    """How many of a spare should lie at a place, from a day on; the latest word counts."""

    shape, takes, changes, filterset_class = AllowanceShape, AllowanceBody, AllowanceChange, AllowanceFilter
    needs = SETS | {"DELETE": "change intervals"}
    http_method_names = ("get", "post", "patch", "delete", "head", "options")

    def rows(self) -> QuerySet[Allowance]:
        return Allowance.objects.filter(place__in=places_of_bases(self.caller).values("pk")).order_by()

    def base_of(self, row: Allowance) -> int | None:
        return None if row.place is None else self._base(row.place)

    def _base(self, place: Place) -> int:
        return place.base_id or self.caller.boats[place.boat_id or 0]

    def add(self, given: dict[str, Any]) -> Allowance:
        base = self._base(given["place"])
        self.allow_at(base)
        return add_allowance(**{"from_on": self.caller.today(base)} | given)

    def change(self, row: Allowance, given: dict[str, Any]) -> None:
        if given and row.place is not None:
            set_allowance(row.spare, row.place, quantity=given["quantity"], from_on=row.from_on)

    def destroy(self, request: Request, pk: str) -> Response:
        row = self.one(pk)
        self.allow_at(self.base_of(row))
        drop_allowance(row)
        return Response(status=204)
