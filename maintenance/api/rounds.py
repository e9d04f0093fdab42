"""Rounds: the fixed checks of a turnaround, walked in parts and signed by name."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.charters import charters_of
from fleet.api.fields import Body, LedgerBody, OneOf, Ref, boats_of, each
from fleet.api.filters import BaseCode, code, days, number, yes_no
from fleet.api.ledgers import Ledger, LedgerTable
from fleet.api.register_fields import about, line
from fleet.api.shapes import CodeOf
from fleet.api.tables import Row
from maintenance.api.returns import VoidBody
from maintenance.turnaround.models import Round, RoundItem, RoundLine
from maintenance.turnaround.walking import MOST_NOTE, Tick, sign_round, take_back_round, walk

MOST_LINES = 500
LINE = ("id", "item", "words", "state", "note", "defect")


def items_seen(caller: Caller) -> QuerySet[RoundItem]:
    """The checks of one's bases."""
    return RoundItem.objects.filter(base__in=caller.bases)


class LineShape(serializers.Serializer):
    """What one check came to."""

    id = serializers.IntegerField()
    item = serializers.IntegerField(help_text="id of the check")
    words = serializers.CharField()
    state = serializers.ChoiceField(RoundLine.State.values)
    note = serializers.CharField(allow_blank=True)
    defect = serializers.IntegerField(allow_null=True, help_text="id of what it was reported as")


class RoundShape(LedgerShape):
    boat = CodeOf("boat.code")
    charter = CodeOf("charter.code", allow_null=True)
    signed_by = serializers.CharField(allow_blank=True, help_text="by name; blank while it is walked")
    first = serializers.IntegerField(help_text="id of the round as it was first opened; lines name it")
    lines = LineShape(many=True)
    beside = ("first", "lines")

    class Meta:
        model = Round
        fields = ("id", "boat", "charter", "day", "signed_by", "first", "lines", *LEDGER)


class LineBody(Body):
    """What one check came to; what fails becomes a defect."""

    item = Ref(items_seen, by="pk", help_text="id of the check")
    state = OneOf(choices=RoundLine.State.values)
    note = line(MOST_NOTE)


class RoundBody(LedgerBody):
    """A part of a boat's round, or all of it: sent again with more, it is the same round until it is
    signed."""

    boat = Ref(boats_of, help_text="her code")
    charter = Ref(charters_of, required=False, allow_null=True, help_text="the code of the one it is for")
    lines = each(LineBody, MOST_LINES, required=False)
    signed_by = line(120, help_text="who signs it, once each check has an answer")

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        items = [one["item"].pk for one in given.get("lines", ())]
        if len(set(items)) < len(items):
            raise serializers.ValidationError({"lines": ["wanted each check once"]})
        return given


class RoundFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    charter = code("charter__code", "for this charter")
    signed = yes_no("signed by name", method="by_sign")
    locals().update(days("day"))

    def by_sign(self, rows: QuerySet[Round], name: str, value: bool) -> QuerySet[Round]:
        return rows.exclude(signed_by="") if value else rows.filter(signed_by="")


class Rounds(Ledger):
    """The rounds of your boats. Taken back, a signed one is walked on; one that is not signed goes
    with the defects it opened, on the day."""

    shape, takes, corrects, filterset_class = RoundShape, RoundBody, VoidBody, RoundFilter
    needs = {"GET": "see", "POST": "walk the round"}

    def mine(self) -> QuerySet[Round]:
        return Round.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: Round) -> int:
        return self.caller.boats[row.boat_id]

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        first = _first({row["id"] for row in rows})
        lines: dict[int, list[Row]] = defaultdict(list)
        found = RoundLine.objects.standing().filter(round__in=first.values()).order_by("item__number", "pk")
        for of, *said in found.values_list("round_id", *LINE):
            lines[of].append(dict(zip(LINE, said, strict=True)))
        for row in rows:
            row["first"] = first[row["id"]]
            row["lines"] = lines[row["first"]]

    def enter(self, given: dict[str, Any]) -> Round:
        boat, who = given["boat"], given.get("signed_by", "").strip()
        self.allow_at(self.caller.boats[boat.pk])
        when = self.when | {"charter": given.get("charter")}
        ticks = [Tick(one["item"], one["state"], one.get("note", "")) for one in given.get("lines", ())]
        once = {"client_id": given["client_id"]}
        with about("boat", who="signed_by"):
            if not who:
                return walk(boat, ticks, **once, **when).round
            if ticks:
                walk(boat, ticks, **when)
            return sign_round(boat, who=who, **once, **when)

    def correct(self, row: Round, given: dict[str, Any]) -> Round:
        return take_back_round(row, **self.when)


def _first(rows: Collection[int]) -> dict[int, int]:
    """The round each row was first opened as; one query for all rounds of their boats."""
    boats = Round.objects.filter(pk__in=rows).values("boat")
    before = dict(Round.objects.filter(boat__in=boats).values_list("pk", "replaces_id"))
    found = {}
    for pk in rows:
        first = pk
        while (earlier := before[first]) is not None:
            first = earlier
        found[pk] = first
    return found


class RoundLineShape(LedgerShape):
    boat = CodeOf("round.boat.code")

    class Meta:
        model = RoundLine
        fields = ("id", "boat", "round", "item", "words", "state", "note", "defect", *LEDGER)


class RoundLineFilter(filters.FilterSet):
    base = BaseCode("round__boat")
    boat = code("round__boat__code", "of this boat")
    round = number("round", "of the round first opened with this id")
    item = number("item", "of the check with this id")
    state = filters.ChoiceFilter(choices=RoundLine.State.choices, label="that came to this")


class RoundLines(LedgerTable):
    """What each check of each round came to, with every change of it; they are written with the round."""

    shape, filterset_class = RoundLineShape, RoundLineFilter

    def mine(self) -> QuerySet[RoundLine]:
        return RoundLine.objects.filter(round__boat__in=self.caller.boats)
