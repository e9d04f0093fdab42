"""Deferrals: what waits, until when, and what the next skipper is told; extended once with a reason."""

from typing import Any

import django_filters as filters
from django.db.models import Exists, OuterRef, QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.fields import LedgerBody, Ref, Text, YesNo
from fleet.api.filters import BaseCode, code, days, number, yes_no
from fleet.api.ledgers import Ledger, still_standing
from fleet.api.register_fields import UsualDay, about, count, line
from fleet.api.shapes import CodeOf
from maintenance.api.defects import defects_of
from maintenance.api.returns import VoidBody
from maintenance.defects.deferring import Until, defer_defect, extend_deferral, take_back_deferral
from maintenance.defects.models import ENDINGS, DefectStep, Deferral

MOST_CHARTERS = 99
STAYS = ("limit_text", "made_inoperative", "dangerous")  # as they were told, where a deferral is extended


def deferrals_seen(caller: Caller) -> QuerySet[Deferral]:
    """Deferrals of defects of the boats of one's bases."""
    return Deferral.objects.filter(defect__boat__in=caller.boats)


class DeferralShape(LedgerShape):
    boat = CodeOf("defect.boat.code")
    who = CodeOf("by", help_text="who decided it, by name")

    class Meta:
        model = Deferral
        fields = (
            *("id", "boat", "defect", "decided_on", "until_on", "max_charters", "at_layup"),
            *("limit_text", "made_inoperative", "extends", "who", "why", *LEDGER),
        )


class DeferralBody(LedgerBody):
    """That a graded defect waits, or waits longer: it ends at the first of the day, so many charters,
    and the lay-up. Clocks in days leave out the day of discovery."""

    defect = Ref(defects_of, by="pk", required=False, help_text="its id")
    extends = Ref(
        deferrals_seen,
        by="pk",
        required=False,
        help_text="id of the deferral it lengthens, in place of a defect",
    )
    until_on = UsualDay(required=False, allow_null=True, help_text="to the end of this day")
    max_charters = count(0, MOST_CHARTERS, help_text="so many more charters; 0: before she goes out again")
    at_layup = YesNo(default=False)
    limit_text = line(500, help_text="what the next skipper is told, in plain words")
    dangerous = YesNo(required=False, help_text="whether using the thing would be dangerous")
    made_inoperative = line(300, help_text="how it was made so that nobody can use it")
    who = Text(max_length=120, required=False, help_text="who decides it; you unless told")
    why = line(500, help_text="wanted where a deferral is extended")

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        if ("defect" in given) == ("extends" in given):
            raise serializers.ValidationError(
                {"defect": ["wanted a defect, or the deferral that is extended"]}
            )
        if "extends" in given:
            told = {name: ["wanted nothing: it stays as it was told"] for name in STAYS if given.get(name)}
            if told:
                raise serializers.ValidationError(told)
        return given


class DeferralFilter(filters.FilterSet):
    base = BaseCode("defect__boat")
    boat = code("defect__boat__code", "of this boat")
    defect = number("defect", "of the defect with this id, as it first came in")
    in_force = yes_no("of a defect that is open, and not extended since", method="by_force")
    locals().update(days("until_on"))

    def by_force(self, rows: QuerySet[Deferral], name: str, value: bool) -> QuerySet[Deferral]:
        same = {"defect": OuterRef("defect")}
        ended = DefectStep.objects.standing().filter(step__in=ENDINGS, **same)
        later = Deferral.objects.standing().filter(pk__gt=OuterRef("pk"), **same)
        over = Exists(ended) | Exists(later)
        return rows.exclude(over) if value else rows.filter(over)


class Deferrals(Ledger):
    """What waits, by whose decision, until when, and with which limit; never past a charter's end."""

    shape, takes, corrects, filterset_class = DeferralShape, DeferralBody, VoidBody, DeferralFilter
    needs = {"GET": "see", "POST": "grade and defer"}

    def mine(self) -> QuerySet[Deferral]:
        return deferrals_seen(self.caller)

    def base_of(self, row: Deferral) -> int:
        return self.caller.boats[row.defect.boat_id]

    def enter(self, given: dict[str, Any]) -> Deferral:
        extends = given.get("extends")
        defect = given["defect"] if extends is None else extends.defect
        self.allow_at(self.caller.boats[defect.boat_id])
        who = given.get("who") or self.caller.person.name
        when = self.when | {"client_id": given["client_id"], "who": who, "why": given.get("why", "")}
        until = Until(given.get("until_on"), given.get("max_charters"), given["at_layup"])
        if extends is not None:
            with about("extends", until="until_on"):
                return extend_deferral(still_standing(extends), until, **when)
        with about("defect", grade="defect", until="until_on", step="defect"):
            return defer_defect(
                still_standing(defect),
                until,
                limit=given.get("limit_text", ""),
                inoperative=given.get("made_inoperative", ""),
                dangerous=given.get("dangerous", False),
                **when,
            )

    def correct(self, row: Deferral, given: dict[str, Any]) -> Deferral:
        return take_back_deferral(row, client_id=given["client_id"], **self.when)
