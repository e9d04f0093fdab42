"""What to take to a boat for the jobs on her list, where it lies, and what may stand in for it."""

from collections.abc import Iterable
from typing import Any

import django_filters as filters
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.worked_out import Record, WorkedOut
from maintenance.api.parts_for import FITS
from maintenance.planning.facts import listed
from maintenance.planning.taking import Lies, Take, takes
from maintenance.servicing.models import Due


class LyingShape(serializers.Serializer):
    """So much at a place."""

    place = serializers.IntegerField(help_text="the place's id")
    place_name = serializers.CharField()
    on_hand = serializers.DecimalField(None, 3)


class InsteadShape(serializers.Serializer):
    """Another part that may be used, why, and where it lies."""

    spare = serializers.CharField()
    name = serializers.CharField()
    why = serializers.CharField()
    lies = LyingShape(many=True)


class ToTakeShape(serializers.Serializer):
    """So much of a part for one job on a boat."""

    base = serializers.CharField()
    boat = serializers.CharField()
    component = serializers.CharField()
    interval = serializers.CharField()
    task = serializers.CharField()
    due_on = serializers.DateField(allow_null=True)
    maker = serializers.CharField(allow_blank=True, help_text="of the thing, as its plate says")
    model = serializers.CharField(allow_blank=True)
    serial = serializers.CharField(allow_blank=True)
    spare = serializers.CharField()
    name = serializers.CharField()
    part_number = serializers.CharField(allow_blank=True)
    quantity = serializers.DecimalField(10, 3)
    unit = serializers.CharField(allow_blank=True)
    fit = serializers.ChoiceField(FITS, allow_null=True, help_text="null: nothing is said of it")
    there = serializers.BooleanField(help_text="whether one place holds enough")
    place = serializers.IntegerField(allow_null=True, help_text="id of the place to take it from")
    lies = LyingShape(many=True, help_text="the store before the boat's kit")
    instead = InsteadShape(many=True, help_text="what lies there that may stand in, where too few lie")


class ToTakeFilter(filters.FilterSet):
    base = filters.CharFilter(max_length=64, label="to this base's boats")
    boat = filters.CharFilter(max_length=64, label="to this boat")
    spare = filters.CharFilter(max_length=64, label="of this spare")


class ToTake(WorkedOut):
    """What the jobs take that are overdue, due within the week, or to be done before the next handover."""

    shape, filterset_class = ToTakeShape, ToTakeFilter
    queryset = Due.objects.none()
    keys = 3

    def list(self, request: Request) -> Response:
        asked = self.asked(request)
        lines = [line for base in self.bases(asked["base"]) for line in self._lines(base.pk)]
        wanted = [line for line in lines if _as_asked(line, asked)]
        return Response(self.page(request, wanted, _key))

    def _lines(self, base: int) -> Iterable[Record]:
        on, code = self.caller.today(base), self.caller.bases[base].code
        boats = [boat for boat, whose in self.caller.boats.items() if whose == base]
        dues = list(
            listed(boats, on).select_related("boat", "component", "interval").order_by("sort_on", "pk")
        )
        taken = takes(dues, on=on)
        return [_told(due, take, code) for due in dues for take in taken.get(due.pk, ())]


def _key(line: Record) -> tuple[Any, ...]:
    return line["component"], line["interval"], line["spare"]


def _as_asked(line: Record, asked: Record) -> bool:
    return all(not asked[name] or line[name] == asked[name] for name in ("boat", "spare"))


def _told(due: Due, take: Take, base: str) -> Record:
    thing, spare = due.component, take.spare
    return {
        "base": base,
        "boat": due.boat.code,
        "component": thing.code,
        "interval": due.interval.code,
        "task": due.interval.task,
        "due_on": due.due_on,
        "maker": thing.maker,
        "model": thing.model,
        "serial": thing.serial,
        "spare": spare.code,
        "name": spare.name,
        "part_number": spare.part_number,
        "quantity": take.quantity,
        "unit": spare.unit,
        "fit": take.fit.value if take.fit is not None else None,
        "there": take.there,
        "place": take.place.pk if take.place is not None else None,
        "lies": _lying(take.lies),
        "instead": [
            {"spare": one.spare.code, "name": one.spare.name, "why": one.why, "lies": _lying(one.lies)}
            for one in take.instead
        ],
    }


def _lying(lies: Iterable[Lies]) -> list[Record]:
    return [{"place": one.place.pk, "place_name": str(one.place), "on_hand": one.on_hand} for one in lies]
