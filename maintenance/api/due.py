"""The due list: what falls due on which boat, for today as stored or for any day afresh."""

from collections.abc import Callable, Mapping
from datetime import date, timedelta
from decimal import Decimal
from functools import partial
from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.filters import BaseCode, code, refuse_unknown, yes_no
from fleet.api.filters import days as by_day
from fleet.api.paging import after, cursor_of, next_page, page_size, rows_after
from fleet.api.shapes import chosen, names_of
from fleet.api.tables import Door
from maintenance.api.due_lines import Asked, Record, fresh, record, stored
from maintenance.servicing.models import Due

MOST_DAYS = 3660
ORDER = ("sort_on", "component_id", "interval_id")
GOVERNS = ("expiry", "season", "calendar", "charters", "hours")


Found = list[tuple[Any, ...]]
Told = list[Record]


class DueShape(serializers.Serializer):
    """One line of the list; hours are totals of the present meter, to 0.1."""

    base = serializers.CharField()
    boat = serializers.CharField()
    component = serializers.CharField()
    kind = serializers.CharField()
    system = serializers.CharField()
    interval = serializers.CharField()
    task = serializers.CharField()
    critical = serializers.BooleanField()
    minutes = serializers.IntegerField(allow_null=True)
    due_on = serializers.DateField(allow_null=True)
    governs = serializers.ChoiceField(GOVERNS, allow_null=True)
    basis = serializers.ChoiceField(("dated", "reached", "expected"), allow_null=True)
    limit_on = serializers.DateField(allow_null=True)
    due_hours = serializers.FloatField(allow_null=True)
    hours_now = serializers.FloatField(allow_null=True)
    hours_left = serializers.FloatField(allow_null=True)
    overdue = serializers.BooleanField()
    before_handover = serializers.BooleanField()
    recorded = serializers.BooleanField()
    missing = serializers.ListField(child=serializers.CharField())


class DueFilter(filters.FilterSet):
    """`on` is the day asked about, the others choose lines of it."""

    on = filters.DateFilter(
        method="as_asked",
        label="the day asked about, today unless told; another day is derived afresh",
        error_messages={"invalid": "wanted a day such as 2026-05-30"},
    )
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    component = code("component__code", "of this component")
    kind = code("component__kind__code", "of this kind")
    system = code("component__kind__system", "of this system")
    interval = code("interval__code", "of this interval")
    governs = filters.ChoiceFilter(choices=[(g, g) for g in GOVERNS], label="which of its limbs sets the day")
    recorded = yes_no("whether it was ever recorded")
    overdue = yes_no("past what it may run to", method="by_verdict")
    before_handover = yes_no("to be done before the next handover", method="by_verdict")
    days = extend_schema_field({"type": "integer", "minimum": 0, "maximum": MOST_DAYS})(
        filters.NumberFilter(
            method="in_list",
            min_value=0,
            max_value=MOST_DAYS,
            label="the list of so many days: overdue, due by then, or before the next handover",
            error_messages={"invalid": "wanted a whole number of days"},
        )
    )
    locals().update(by_day("due_on"))

    def in_list(self, rows: Any, name: str, value: Any) -> Any:
        until = self.request.caller_of_api.latest_today + timedelta(days=int(value))
        return self._judged(rows).in_list(until)

    def as_asked(self, rows: QuerySet[Due], name: str, value: date) -> QuerySet[Due]:
        return rows

    def by_verdict(self, rows: Any, name: str, value: bool) -> Any:
        return self._judged(rows).filter(**{name: value})

    def _judged(self, rows: Any) -> Any:
        """What the list works out on reading is worked out in the database only to choose by it."""
        if "overdue" in rows.query.annotations:
            return rows
        return rows.judged(self.request.caller_of_api.latest_today)


class DueLines(Door):
    """What falls due on your boats, in the order it does; lines without a day come last."""

    shape, filterset_class = DueShape, DueFilter
    http_method_names = ("get", "head", "options")

    def get_queryset(self) -> QuerySet[Due]:
        boats = () if getattr(self, "swagger_fake_view", False) else self.caller.boats
        return Due.objects.filter(boat__in=boats)

    def list(self, request: Request) -> Response:
        refuse_unknown(request, self.caller, DueFilter.base_filters)
        names = chosen(request, names_of(DueShape))
        size = page_size(request)
        rows = self.filter_queryset(self.get_queryset())
        key = after(request, ORDER, Due.objects.all())
        on = self._on(request)
        if on == self.caller.latest_today:
            found = stored(rows_after(rows, ORDER, key)[: size + 1])
            asked = Asked.about(self._bases(), on, {row[3] for row in found})
            told = [record(row, asked) for row in found[:size]]
        else:
            found, told = self._afresh(request, on, key, size)
        cursor = cursor_of(found[size - 1][:3]) if len(found) > size else None
        results = told if len(names) == len(names_of(DueShape)) else _only(told, names)
        return Response({"next": next_page(request, cursor), "results": results})

    def _on(self, request: Request) -> date:
        text = request.query_params.get("on", "")
        return date.fromisoformat(text.strip()) if text else self.caller.latest_today

    def _bases(self) -> dict[int, str]:
        return {boat: self.caller.bases[base].code for boat, base in self.caller.boats.items()}

    def _afresh(
        self, request: Request, on: date, key: tuple[Any, ...] | None, size: int
    ) -> tuple[Found, Told]:
        """Another day's lines, chosen by the same filters."""
        bases = self._bases()
        asked, wanted = Asked.about(bases, on, bases), _wanted(request.query_params, on)
        found, told = [], []
        for row in fresh(list(bases), on):
            if key is not None and row[:3] <= key:
                continue
            line = record(row, asked)
            if all(fits(line) for fits in wanted):
                found.append(row)
                told.append(line)
            if len(found) > size:
                break
        return found, told[:size]


def _only(told: list[Record], names: list[str]) -> list[Record]:
    return [{name: line[name] for name in names} for line in told]


def _wanted(params: Mapping[str, str], on: date) -> list[Callable[[Record], bool]]:
    """The filters of a call as questions to a record; their values were checked before."""
    wanted: list[Callable[[Record], bool]] = []
    if listed := params.get("days", "").strip():
        wanted.append(partial(_in_list, (on + timedelta(days=int(Decimal(listed)))).isoformat()))
    for name, holds in _QUESTIONS.items():
        if value := params.get(name, "").strip():
            wanted.append(partial(holds, name, value))
    return wanted


def _same(name: str, value: str, line: Record) -> bool:
    return bool(line[name] == value)


def _is(name: str, value: str, line: Record) -> bool:
    return bool(line[name] is (value == "true"))


def _in_list(until: str, line: Record) -> bool:
    soon = line["due_on"] is not None and line["due_on"] <= until
    return bool(line["overdue"] or line["before_handover"] or soon)


def _in_days(name: str, value: str, line: Record) -> bool:
    holds = {"day": str.__eq__, "from_day": str.__ge__, "to_day": str.__le__}[name]
    return line["due_on"] is not None and holds(line["due_on"], value)


_QUESTIONS = (
    dict.fromkeys(("base", "boat", "component", "kind", "system", "interval", "governs"), _same)
    | dict.fromkeys(("recorded", "overdue", "before_handover"), _is)
    | dict.fromkeys(("day", "from_day", "to_day"), _in_days)
)
