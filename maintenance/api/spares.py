"""Spares as they are bought and held."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.caller import Caller
from fleet.api.fields import Body, Ref, YesNo, how_many
from fleet.api.filters import code, yes_no
from fleet.api.register_fields import Code, Line, count, line
from fleet.api.registers import Register
from fleet.api.shapes import CodeOf, Shape
from fleet.boats.models import Kind
from maintenance.spares.keeping import keep_spare
from maintenance.spares.models import Spare

SETS = {"GET": "see", "POST": "change intervals", "PATCH": "change intervals"}


def spares_known(caller: Caller) -> QuerySet[Spare]:
    """All bases of this copy share them."""
    return Spare.objects.all()


class SpareShape(Shape):
    kind = CodeOf("kind.code", allow_null=True)
    superseded_by = CodeOf("superseded_by.code", allow_null=True, help_text="its newer number, by code")

    class Meta:
        model = Spare
        fields = (
            *("id", "code", "name", "maker", "part_number", "unit", "kind", "supplier", "lead_days"),
            *("pack_of", "exchange", "superseded_by"),
        )


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
    pack_of = how_many(
        "0.001", required=False, help_text="how many come in a packet; quantities count what is inside"
    )
    exchange = YesNo(required=False, help_text="whether the worn-out one goes back to the supplier")
    superseded_by = Ref(spares_known, required=False, allow_null=True, help_text="its newer number: its code")


class SpareBody(SpareChange):
    """A spare, by a code of its own."""

    code = Code()


class SpareFilter(filters.FilterSet):
    spare = code("code", "with this code")
    kind = code("kind__code", "for this kind of thing")
    system = code("kind__system", "for things of this system")
    part_number = filters.CharFilter(max_length=80, label="with this part number")
    supplier = filters.CharFilter(max_length=120, label="bought of this supplier")
    exchange = yes_no("whether the worn-out one goes back", field_name="exchange")
    superseded_by = code("superseded_by__code", "that this one superseded")


class Spares(Register):
    """The spares; all bases of this copy share them."""

    shape, takes, changes, filterset_class = SpareShape, SpareBody, SpareChange, SpareFilter
    needs = SETS

    def rows(self) -> QuerySet[Spare]:
        return Spare.objects.order_by()

    def add(self, given: dict[str, Any]) -> Spare:
        return keep_spare(Spare(**given))

    def change(self, row: Spare, given: dict[str, Any]) -> None:
        for name, value in given.items():
            setattr(row, name, value)
        keep_spare(row)
