"""The dates of the safety gear: for any day and through each boat's next charter, worst first."""

from collections.abc import Sequence
from datetime import date

import django_filters as filters
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.filters import WANTED_DAY
from fleet.api.worked_out import Record, WorkedOut
from fleet.bases.models import Base
from fleet.boats.models import Component
from maintenance.planning.dated import audit_of
from maintenance.safety.audit import WORST_FIRST, Line

CHOSEN_BY = ("boat", "component", "kind", "system", "what", "state")


class AuditShape(serializers.Serializer):
    """One expected date. It says what was recorded, not what condition the thing is in."""

    base = serializers.CharField()
    boat = serializers.CharField()
    component = serializers.CharField()
    kind = serializers.CharField()
    system = serializers.CharField()
    position = serializers.CharField(allow_blank=True)
    serial = serializers.CharField(allow_blank=True)
    what = serializers.CharField()
    state = serializers.ChoiceField(WORST_FIRST)
    good_through = serializers.DateField(allow_null=True)
    as_written = serializers.CharField(allow_blank=True)
    through = serializers.DateField(help_text="the last day judged for: the end of her next charter")
    charter = serializers.CharField(allow_null=True, help_text="the charter that ends then")
    away = serializers.BooleanField(help_text="sent away; the date is then the lent one's")
    recorded_at = serializers.DateTimeField(allow_null=True)
    paper = serializers.CharField(allow_null=True, help_text="sha256 of the photo or certificate")


class AuditPage(serializers.Serializer):
    """A page of dates, and how many of all that are expected are recorded at all."""

    on = serializers.DateField()
    recorded = serializers.IntegerField()
    expected = serializers.IntegerField()
    next = serializers.URLField(allow_null=True)
    results = AuditShape(many=True)


class AuditFilter(filters.FilterSet):
    """`on` is the day asked about; a past one is judged by what was recorded by then."""

    on = filters.DateFilter(label="the day asked about, today unless told", error_messages=WANTED_DAY)
    base = filters.CharFilter(max_length=64, label="of this base's boats")
    boat = filters.CharFilter(max_length=64, label="of this boat")
    component = filters.CharFilter(max_length=64, label="of this component")
    kind = filters.CharFilter(max_length=64, label="of this kind")
    system = filters.CharFilter(max_length=64, label="of this system")
    what = filters.CharFilter(max_length=40, label="this date of it: expiry, service, release unit ...")
    state = filters.ChoiceFilter(choices=[(s, s) for s in WORST_FIRST], label="how it stands")


class Audit(WorkedOut):
    """Each date your boats' things should carry, and whether it holds until she is back."""

    shape, filterset_class = AuditShape, AuditFilter
    gives = {"page": AuditPage}
    queryset = Component.objects.none()

    def list(self, request: Request) -> Response:
        asked = self.asked(request)
        on = asked.get("on") or self.caller.latest_today
        lines = [line for base in self.bases(asked.get("base")) for line in self._lines(base, on)]
        lines = [line for line in lines if all(line[n] == asked[n] for n in CHOSEN_BY if asked.get(n))]
        told = sum(line["good_through"] is not None for line in lines)
        page = {"on": on, "recorded": told, "expected": len(lines)}
        return Response(page | self.page(request, lines, _key))

    def _lines(self, base: Base, on: date) -> Sequence[Record]:
        return [_told(line, base) for line in audit_of(base, on=on, now=self.caller.now).lines]


def _told(line: Line, base: Base) -> Record:
    thing, printed, booking = line.thing, line.printed, line.through.booking
    return {
        "base": base.code,
        "boat": thing.boat_code,
        "component": thing.code,
        "kind": thing.kind_code,
        "system": thing.system,
        "position": thing.position,
        "serial": line.serial,
        "what": line.expected.what,
        "state": line.state,
        "good_through": line.good_through,
        "as_written": printed.as_written if printed else "",
        "through": line.through.day,
        "charter": booking.code if booking else None,
        "away": line.expected.elsewhere is not None,
        "recorded_at": printed.recorded_at if printed else None,
        "paper": (printed.paper or None) if printed else None,
    }


def _key(line: Record) -> tuple[str, str]:
    return line["component"], line["what"]
