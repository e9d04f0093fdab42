"""Intervals: how often each task is done, what it settles and what it takes."""

from collections import defaultdict
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet
from rest_framework import serializers

from fleet.api.caller import Caller
from fleet.api.components import Components, components_of
from fleet.api.fields import MISSING, Body, Number, OneOf, Ref, Several, YesNo, each
from fleet.api.filters import code, yes_no
from fleet.api.register_fields import Line, MonthDay, UsualDay, Word, count, line, some
from fleet.api.registers import Register
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Row
from fleet.boats.models import Kind
from maintenance.servicing.models import IntervalSpare, ServiceInterval
from maintenance.servicing.setting import keep_interval
from maintenance.spares.models import Spare

MOST = 100  # intervals settled, spares taken


def intervals_of(caller: Caller) -> QuerySet[ServiceInterval]:
    """Those of kinds, which all bases share, and those of the components of one's own bases."""
    own = Q(component__in=components_of(caller).values("pk"))
    return ServiceInterval.objects.filter(Q(kind__isnull=False) | own).order_by()


class TakesShape(serializers.Serializer):
    """So much of a spare."""

    spare = serializers.CharField()
    quantity = serializers.DecimalField(max_digits=9, decimal_places=3)


class IntervalShape(Shape):
    kind = CodeOf("kind.code", allow_null=True)
    component = CodeOf("component.code", allow_null=True)
    settles = serializers.ListField(child=serializers.CharField(), help_text="codes of intervals")
    spares = TakesShape(many=True)
    beside = ("settles", "spares")

    class Meta:
        model = ServiceInterval
        fields = (
            *("id", "code", "kind", "component", "task", "every_hours", "every_months", "first_hours"),
            *("first_months", "every_charters", "season_opens", "season_closes", "on_expiry"),
            *("counts_from", "early_hours", "early_days", "late_hours", "late_days", "settles"),
            *("critical", "in_lay_up", "minutes", "source", "from_on", "until_on", "spares"),
        )


class TakesBody(Body):
    """So much of a spare."""

    spare = Ref(lambda caller: Spare.objects.all(), help_text="its code")
    quantity = some(9, 3)

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        """Each is said whole, also where the interval is only changed in part."""
        if lacking := [str(name) for name in self.fields if name not in given]:
            raise serializers.ValidationError({name: [MISSING["required"]] for name in lacking})
        return given


def _hours() -> Number:
    wanted = {"min_value": "wanted hours above 0, such as 250"}
    return some(8, 2, required=False, allow_null=True, error_messages=wanted)


def _margin() -> Number:
    return Number(max_digits=8, decimal_places=2, min_value=Decimal(0), required=False, allow_null=True)


class IntervalChange(Body):
    """How often a task is done: at least one limb, the earliest of them counts."""

    task = Line(max_length=200)
    every_hours, first_hours = _hours(), _hours()
    every_months, first_months = count(1, 1200), count(1, 1200)
    every_charters = count(1, 1000)
    season_opens, season_closes = MonthDay(required=False), MonthDay(required=False)
    on_expiry = YesNo(required=False, help_text="by the date printed on the thing")
    counts_from = OneOf(choices=ServiceInterval.CountsFrom.values, required=False)
    early_hours, late_hours = _margin(), _margin()
    early_days, late_days = count(0, 36_500), count(0, 36_500)
    settles = Several(
        child=Ref(intervals_of),
        required=False,
        max_length=MOST,
        help_text="codes of intervals of the same thing that this does too",
    )
    critical = YesNo(required=False)
    in_lay_up = YesNo(required=False, help_text="a task of the lay-up only")
    minutes = count(0, 100_000)
    source: Any = line(300, help_text="the maker's manual, the flag's code ...")  # hides the class's own
    from_on = UsualDay(required=False, allow_null=True, help_text="in force from this day on")
    until_on = UsualDay(required=False, allow_null=True, help_text="in force up to this day")
    spares = each(TakesBody, MOST, required=False)

    def validate_spares(self, taken: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if len({one["spare"].pk for one in taken}) < len(taken):
            raise serializers.ValidationError("wanted each spare once")
        return taken


class IntervalBody(IntervalChange):
    """An interval of a kind of thing, or of one component."""

    code = Word()
    kind = Ref(lambda caller: Kind.objects.all(), required=False, allow_null=True, help_text="its code")
    component = Ref(components_of, required=False, allow_null=True, help_text="its code")


class IntervalFilter(filters.FilterSet):
    interval = code("code", "with this code")
    kind = code("kind__code", "of this kind")
    system = code("kind__system", "of kinds of this system")
    component = code("component__code", "of this component's own")
    critical = yes_no("whether it is critical", field_name="critical")
    in_lay_up = yes_no("whether it is a task of the lay-up only", field_name="in_lay_up")


class Intervals(Register):
    """How often each task is done. Those of a kind hold at every base of this copy, and every boat
    that carries the kind follows a change."""

    shape, takes, changes, filterset_class = IntervalShape, IntervalBody, IntervalChange, IntervalFilter
    needs = {"GET": "see", "POST": "change intervals", "PATCH": "change intervals"}

    def rows(self) -> QuerySet[ServiceInterval]:
        return intervals_of(self.caller)

    def base_of(self, row: ServiceInterval) -> int | None:
        if row.component is None:
            return None
        return Components.base_of(self, row.component)  # type: ignore[arg-type]

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        ids = [row["id"] for row in rows]
        settles, spares = _settled(self.caller, ids), _taken(ids)
        for row in rows:
            row["settles"], row["spares"] = sorted(settles[row["id"]]), spares[row["id"]]

    def add(self, given: dict[str, Any]) -> ServiceInterval:
        more = _more(given)
        interval = ServiceInterval(**given)
        self.allow_at(self.base_of(interval))
        keep_interval(interval, at=self.caller.now, **more)
        return interval

    def change(self, row: ServiceInterval, given: dict[str, Any]) -> None:
        more = _more(given)
        for name, value in given.items():
            setattr(row, name, value)
        keep_interval(row, at=self.caller.now, **more)


def _more(given: dict[str, Any]) -> dict[str, Any]:
    """What stands in tables of its own, out of what was given."""
    spares = given.pop("spares", None)
    taken = None if spares is None else {one["spare"].pk: one["quantity"] for one in spares}
    return {"settles": given.pop("settles", None), "spares": taken}


def _settled(caller: Caller, ids: Sequence[int]) -> dict[int, list[str]]:
    """Codes of what intervals settle; of those of components only the caller's."""
    through = ServiceInterval.settles.through.objects.filter(from_serviceinterval__in=ids)
    theirs = through.filter(to_serviceinterval__in=intervals_of(caller).values("pk"))
    found: dict[int, list[str]] = defaultdict(list)
    for one, other in theirs.values_list("from_serviceinterval", "to_serviceinterval__code"):
        found[one].append(other)
    return found


def _taken(ids: Sequence[int]) -> dict[int, list[Row]]:
    found: dict[int, list[Row]] = defaultdict(list)
    rows = IntervalSpare.objects.filter(interval__in=ids).order_by("spare__code")
    for interval, spare, quantity in rows.values_list("interval", "spare__code", "quantity"):
        found[interval].append({"spare": spare, "quantity": quantity})
    return found
