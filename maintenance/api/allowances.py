"""How many of a spare should lie where: at a place, or in the kit of every boat of a class."""

from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.fields import Body, Ref, how_many, shown
from fleet.api.filters import code, number
from fleet.api.register_fields import UsualDay, line
from fleet.api.registers import Register
from fleet.api.shapes import CodeOf, Shape
from fleet.api.stowage import places_of_bases
from fleet.boats.models import Boat, Place
from maintenance.api.spares import SETS, spares_known
from maintenance.spares.actions import set_allowance, set_class_allowance
from maintenance.spares.keeping import add_allowance, add_class_allowance, drop_allowance
from maintenance.spares.models import Allowance

WHERE = "wanted a place or a design, one of the two"


class AllowanceShape(Shape):
    spare = CodeOf("spare.code")

    class Meta:
        model = Allowance
        fields = ("id", "spare", "place", "design", "quantity", "from_on")
        extra_kwargs = {"design": {"help_text": "aboard every boat of this class; blank: at the place"}}


class AllowanceChange(Body):
    """How many should lie there."""

    quantity = how_many()


class AllowanceBody(AllowanceChange):
    """How many of a spare should lie at a place, or aboard every boat of a class, from a day on."""

    spare = Ref(spares_known, help_text="its code")
    place = Ref(places_of_bases, by="pk", required=False, allow_null=True, help_text="the place's id")
    design = line(120, help_text="the class, as boats of your bases have it")
    from_on = UsualDay(required=False, help_text="today unless told")

    def validate_design(self, value: str) -> str:
        if value and not Boat.objects.filter(pk__in=self.caller.boats, design=value).exists():
            raise serializers.ValidationError(f"found {shown(value)}; wanted the design of a boat of yours")
        return value

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        if bool(given.get("design")) == (given.get("place") is not None):
            raise serializers.ValidationError({"place": [WHERE]})
        return given


class AllowanceFilter(filters.FilterSet):
    base = code("place__base__code", "in this base's stores")
    boat = code("place__boat__code", "aboard this boat, said of her alone")
    place = number("place", "at the place with this id")
    design = filters.CharFilter(max_length=120, label="aboard every boat of this class")
    spare = code("spare__code", "of this spare")


class Allowances(Register):
    """How many of a spare should lie at a place, or in the kit of every boat of a class, from a day on; the
    latest word counts, and what is said of one boat goes before what is said of her class."""

    shape, takes, changes, filterset_class = AllowanceShape, AllowanceBody, AllowanceChange, AllowanceFilter
    needs = SETS | {"DELETE": "change intervals"}
    http_method_names = ("get", "post", "patch", "delete", "head", "options")

    def rows(self) -> QuerySet[Allowance]:
        boats = Boat.objects.filter(pk__in=self.caller.boats).exclude(design="")
        places = places_of_bases(self.caller).values("pk")
        mine = Q(place__in=places) | Q(place=None, design__in=boats.values("design"))
        return Allowance.objects.filter(mine).order_by()

    def base_of(self, row: Allowance) -> int | None:
        return None if row.place is None else self._base(row.place)

    def _base(self, place: Place) -> int:
        return place.base_id or self.caller.boats[place.boat_id or 0]

    def add(self, given: dict[str, Any]) -> Allowance:
        place, design = given.pop("place", None), given.pop("design", "")
        if place is None:
            return add_class_allowance(design=design, **{"from_on": self.caller.latest_today} | given)
        base = self._base(place)
        self.allow_at(base)
        return add_allowance(place=place, **{"from_on": self.caller.today(base)} | given)

    def change(self, row: Allowance, given: dict[str, Any]) -> None:
        if not given:
            return
        said = {"quantity": given["quantity"], "from_on": row.from_on}
        if row.place is None:
            set_class_allowance(row.spare, row.design, **said)
        else:
            set_allowance(row.spare, row.place, **said)

    def destroy(self, request: Request, pk: str) -> Response:
        row = self.one(pk)
        self.allow_at(self.base_of(row))
        drop_allowance(row)
        return Response(status=204)
