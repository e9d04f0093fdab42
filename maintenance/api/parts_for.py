"""Which parts fit a thing aboard, by what is said of them: kind, maker, model, serial number."""

from collections.abc import Iterator
from typing import Any

import django_filters as filters
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.components import components_of
from fleet.api.worked_out import Record, WorkedOut
from fleet.boats.models import Component
from maintenance.spares.fits import Fit
from maintenance.spares.models import Spare
from maintenance.spares.stand_ins import parts_for, stand_ins

FITS = [fit.value for fit in Fit]


class MayStandInShape(serializers.Serializer):
    """Another part that may be used, and why."""

    spare = serializers.CharField()
    name = serializers.CharField()
    why = serializers.CharField()


class PartForShape(serializers.Serializer):
    """A part, and whether it is said to fit; the maker's list goes before this one."""

    component = serializers.CharField()
    spare = serializers.CharField()
    name = serializers.CharField()
    part_number = serializers.CharField(allow_blank=True)
    unit = serializers.CharField(allow_blank=True)
    fit = serializers.ChoiceField(FITS, help_text="may fit: read the thing's plate first")
    instead = MayStandInShape(many=True, help_text="what may stand in for it: newer and older numbers too")


class PartForFilter(filters.FilterSet):
    component = filters.CharFilter(max_length=64, required=True, label="to this component; always wanted")


class PartsFor(WorkedOut):
    """The parts that are said to fit a thing aboard, or may; those that do first."""

    shape, filterset_class = PartForShape, PartForFilter
    queryset = Component.objects.none()

    def list(self, request: Request) -> Response:
        component = self._component(self.asked(request)["component"])
        lines = list(_lines(component))
        return Response(self.page(request, lines, lambda line: (line["component"], line["spare"])))

    def _component(self, code: str) -> Component:
        rows: Any = components_of(self.caller)
        component = rows.filter(code=code).first() if code.isprintable() else None
        if component is None:
            raise ValidationError({"component": ["wanted the code of a component of your bases"]})
        found: Component = component
        return found


def _lines(component: Component) -> Iterator[Record]:
    found = parts_for(component)
    others = stand_ins([spare.pk for spare, _ in found])
    for spare, fit in found:
        yield {
            "component": component.code,
            "spare": spare.code,
            "name": spare.name,
            "part_number": spare.part_number,
            "unit": spare.unit,
            "fit": fit.value,
            "instead": [told(one.spare, one.why) for one in others.get(spare.pk, ())],
        }


def told(spare: Spare, why: str) -> Record:
    return {"spare": spare.code, "name": spare.name, "why": why}
