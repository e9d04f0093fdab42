"""May she sail: how each boat stands for her next charter or one asked about, and every reason why."""

from collections.abc import Iterator, Sequence
from typing import Any

import django_filters as filters
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.charters import charters_of
from fleet.api.filters import refuse_unknown
from fleet.api.paging import NO_CURSOR, cursor_of, key_of, next_page, page_size
from fleet.api.shapes import chosen, names_of
from fleet.api.tables import Door, Row
from fleet.boats.models import Boat
from fleet.charters.models import Charter
from maintenance.release.facts import Judged, judged_of
from maintenance.release.rule_list import CODES, VERDICTS
from maintenance.release.rules import Reason, worst_first

NOT_RELEASED = "not released"


class HoldingShape(serializers.Serializer):
    """One reason why she may not go, and what somebody alone on site can do about it."""

    code = serializers.ChoiceField(CODES)
    key = serializers.CharField(help_text="names it where it is let be")
    words = serializers.CharField()
    way_out = serializers.CharField()
    defect = serializers.IntegerField(allow_null=True, help_text="the defect's id, where it is one")
    can_be_let_be = serializers.BooleanField(help_text="whether a named decision may let her go to a limit")


class MaySailShape(serializers.Serializer):
    """How one boat stands. That nothing holds her says what is recorded, not how she is."""

    base = serializers.CharField()
    boat = serializers.CharField()
    on = serializers.DateField(help_text="the day it is judged on: today at her base")
    charter = serializers.CharField(allow_null=True, help_text="her next one unless told")
    leaves_on = serializers.DateField(allow_null=True)
    back_on = serializers.DateField(allow_null=True)
    verdict = serializers.ChoiceField((*VERDICTS, NOT_RELEASED))
    release = serializers.IntegerField(allow_null=True, help_text="id of the last one for that charter")
    fell = serializers.BooleanField(help_text="whether that one fell, for something held her since")
    reasons = HoldingShape(many=True, help_text="what holds her, the worst first")
    let_be = HoldingShape(many=True, help_text="what would hold her and was let be by name")
    warnings = serializers.ListField(child=serializers.CharField(), help_text="what holds nothing")
    limits = serializers.ListField(child=serializers.CharField(), help_text="what the skipper is told")
    names_needed = serializers.IntegerField(help_text="so many names a release wants")


class MaySailFilter(filters.FilterSet):
    base = filters.CharFilter(max_length=64, label="of this base's boats")
    boat = filters.CharFilter(max_length=64, label="of this boat")
    charter = filters.CharFilter(max_length=64, label="for this charter, with the boat it has")
    verdict = filters.ChoiceFilter(choices=[(v, v) for v in (*VERDICTS, NOT_RELEASED)], label="that stand so")


class MaySail(Door):
    """Whether your boats may go out: fit, fit with limits, held, or not released yet, and why."""

    shape, filterset_class = MaySailShape, MaySailFilter
    queryset = Boat.objects.none()  # how they stand is worked out; nothing is read by it
    http_method_names = ("get", "head", "options")

    def list(self, request: Request) -> Response:
        refuse_unknown(request, self.caller, MaySailFilter.base_filters)
        asked = self._asked(request)
        names, size, after = chosen(request, names_of(MaySailShape)), page_size(request), key_of(request, 1)
        if after is not None and not after[0].isprintable():
            raise NO_CURSOR
        lines = sorted(self._lines(asked), key=lambda line: line["boat"])
        lines = [line for line in lines if asked["verdict"] in ("", line["verdict"])]
        rest = [line for line in lines if after is None or line["boat"] > after[0]]
        results = [{name: line[name] for name in names} for line in rest[:size]]
        more = cursor_of([rest[size - 1]["boat"]]) if len(rest) > size else None
        return Response({"next": next_page(request, more), "results": results})

    def _asked(self, request: Request) -> Row:
        """The filters of the call, checked; ValidationError names each that is wrong."""
        form = MaySailFilter(request.query_params, self.queryset, request=request).form
        if not form.is_valid():
            raise ValidationError(form.errors)
        asked: Row = form.cleaned_data
        return asked

    def _lines(self, asked: Row) -> Iterator[Row]:
        charter = self._charter(asked["charter"]) if asked["charter"] else None
        for pk, base in self.caller.bases.items():
            boats = [boat for boat, whose in self.caller.boats.items() if whose == pk]
            if charter is not None:
                boats = [boat for boat in boats if boat == charter.boat_id]
            if boats and asked["base"] in ("", base.code):
                given = {charter.boat_id: charter} if charter is not None else None
                on, now = self.caller.today(pk), self.caller.now
                judged = judged_of(base, on=on, now=now, boats=boats, charters=given).values()
                yield from (told(one, base.code) for one in judged if asked["boat"] in ("", one.boat.code))

    def _charter(self, code: str) -> Charter:
        fit = charters_of(self.caller).filter(code=code) if code.isprintable() else Charter.objects.none()
        charter = fit.first()
        if charter is None or charter.cancelled_at is not None:
            raise ValidationError({"charter": ["wanted the code of a charter of your bases, not called off"]})
        return charter


def told(judged: Judged, base: str) -> Row:
    """How a boat stands, by the names it is told by."""
    charter, how, release = judged.charter, judged.standing, judged.release
    return {
        "base": base,
        "boat": judged.boat.code,
        "on": judged.ship.on,
        "charter": charter.code if charter is not None else None,
        "leaves_on": charter.starts_on if charter is not None else None,
        "back_on": charter.ends_on if charter is not None else None,
        "verdict": how.word,
        "release": release.pk if release is not None else None,
        "fell": how.fell,
        "reasons": _reasons(how.reasons),
        "let_be": _reasons(how.let_be),
        "warnings": list(judged.warnings),
        "limits": list(judged.limits),
        "names_needed": judged.names_needed,
    }


def _reasons(reasons: Sequence[Reason]) -> list[dict[str, Any]]:
    return [
        {
            "code": reason.code,
            "key": reason.key,
            "words": reason.words,
            "way_out": reason.way_out,
            "defect": reason.row or None,
            "can_be_let_be": reason.can_be_let_be,
        }
        for reason in worst_first(reasons)
    ]
