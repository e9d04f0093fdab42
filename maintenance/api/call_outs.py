"""Call-outs: a boat away with a defect, promised when, who goes with what, against the contract's clock."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.db.models import Exists, OuterRef, QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.charters import charters_of
from fleet.api.fields import LedgerBody, Moment, OneOf, Ref, Several, Text, boats_of
from fleet.api.filters import BaseCode, code, number, yes_no
from fleet.api.ledgers import Additions, Ledger, still_standing
from fleet.api.problems import Conflict
from fleet.api.register_fields import about, line
from fleet.api.shapes import CodeOf
from fleet.api.tables import Row
from fleet.refused import Refused
from maintenance.api.defects import defects_of
from maintenance.api.returns import MOST_WORDS, UsedBody, VoidBody, spares_used
from maintenance.jobs.call_out import (
    CLOSING,
    Call,
    close_call_out,
    last_step,
    open_call_out,
    say_step,
    take_back_last,
)
from maintenance.jobs.clock import runs_out_at
from maintenance.jobs.models import CallOut, CallOutDefect, CallOutStep

MOST_DEFECTS = 50
DONE, PROMISED = CallOutStep.Step.DONE.value, CallOutStep.Step.PROMISED.value
ONLY = {"promised_at": (PROMISED,), "put_right": (DONE,), "used": (DONE,)}


def call_outs_seen(caller: Caller) -> QuerySet[CallOut]:
    """Call-outs to the boats of one's bases."""
    return CallOut.objects.filter(boat__in=caller.boats)


class CallOutShape(LedgerShape):
    boat = CodeOf("boat.code")
    charter = CodeOf("charter.code", allow_null=True)
    hours = serializers.IntegerField(allow_null=True, help_text="the contract's; null where no clock runs")
    runs_out_at = serializers.DateTimeField(allow_null=True, help_text="when those hours are over")
    defects = serializers.ListField(child=serializers.IntegerField(), help_text="ids of what it is for")
    last_step = serializers.ChoiceField(
        ("", *CallOutStep.Step.values), help_text="the last; blank: none said yet"
    )
    promised_at = serializers.DateTimeField(allow_null=True, help_text="for when it was promised last")
    beside = ("runs_out_at", "defects", "last_step", "promised_at")

    class Meta:
        model = CallOut
        fields = (
            *("id", "boat", "charter", "where", "phone", "told_at", "hours", "runs_out_at"),
            *("defects", "last_step", "promised_at", *LEDGER),
        )


class CallOutBody(LedgerBody):
    """What was told on the telephone: where she lies, and open defects of hers or what is wrong."""

    boat = Ref(boats_of, help_text="her code")
    where = Text(max_length=200, help_text="where she lies, as said on the telephone")
    phone = line(40)
    told_at = Moment(required=False, help_text="when it was told; now unless told")
    charter = Ref(charters_of, required=False, allow_null=True, help_text="its code; its hire's clock runs")
    defects = Several(
        child=Ref(defects_of, by="pk"), required=False, max_length=MOST_DEFECTS, help_text="ids"
    )
    words = Text(
        max_length=MOST_WORDS,
        required=False,
        allow_blank=True,
        help_text="what is wrong, where nobody wrote it down yet",
    )
    reporter = line(120)


class CallOutFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "to this boat")
    charter = code("charter__code", "of this charter")
    open = yes_no("neither done nor said to be needed no more", method="by_end")

    def by_end(self, rows: QuerySet[CallOut], name: str, value: bool) -> QuerySet[CallOut]:
        closed = Exists(CallOutStep.objects.standing().filter(step__in=CLOSING, call_out=OuterRef("pk")))
        return rows.exclude(closed) if value else rows.filter(closed)


class CallOuts(Additions):
    """Going out to boats that are away, and how each call-out stands."""

    shape, takes, filterset_class = CallOutShape, CallOutBody, CallOutFilter
    # no corrections: its steps say that nobody need go
    needs = {"GET": "see", "POST": "go out to a boat"}

    def mine(self) -> QuerySet[CallOut]:
        return call_outs_seen(self.caller)

    def base_of(self, row: CallOut) -> int:
        return self.caller.boats[row.boat_id]

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        keys = [row["id"] for row in rows]
        defects: dict[int, list[int]] = defaultdict(list)
        links = CallOutDefect.objects.filter(call_out__in=keys).order_by("pk")
        for call_out, defect in links.values_list("call_out_id", "defect_id"):
            defects[call_out].append(defect)
        last: dict[int, Row] = {key: {"last_step": "", "promised_at": None} for key in keys}
        for step in CallOutStep.objects.standing().filter(call_out__in=keys).order_by("pk"):
            last[step.call_out_id]["last_step"] = step.step
            last[step.call_out_id]["promised_at"] = step.promised_at or last[step.call_out_id]["promised_at"]
        for row in rows:
            row.update(defects=defects[row["id"]], **last[row["id"]])
            row["runs_out_at"] = row["hours"] and runs_out_at(row["told_at"], row["hours"])

    def enter(self, given: dict[str, Any]) -> CallOut:
        boat = given["boat"]
        self.allow_at(self.caller.boats[boat.pk])
        told_at = given.get("told_at") or self.caller.now
        return open_call_out(
            boat,
            Call(given["where"], told_at, given.get("phone", "")),
            charter=given.get("charter"),
            defects=given.get("defects", ()),
            words=given.get("words", ""),
            reporter=given.get("reporter", ""),
            client_id=given["client_id"],
            **self.when,
        )


class CallOutStepShape(LedgerShape):
    boat = CodeOf("call_out.boat.code")

    class Meta:
        model = CallOutStep
        fields = ("id", "boat", "call_out", "step", "who", "promised_at", "takes", "words", *LEDGER)


class CallOutStepBody(LedgerBody):
    """What was promised or done. Done closes it, with the defects that were put right and the spares
    used; not needed closes it too."""

    call_out = Ref(call_outs_seen, by="pk", help_text="its id")
    step = OneOf(choices=CallOutStep.Step.values)
    who = Text(max_length=120, required=False, help_text="who goes, or says so; you unless told")
    promised_at = Moment(required=False, allow_null=True, help_text="wanted where it is promised")
    takes = line(500, help_text="what goes along from the van")
    words = line(500)
    put_right = Several(
        child=Ref(defects_of, by="pk"),
        required=False,
        max_length=MOST_DEFECTS,
        help_text="done: ids of the defects of the call-out that were put right",
    )
    used = UsedBody(many=True, required=False)


class CallOutStepFilter(filters.FilterSet):
    base = BaseCode("call_out__boat")
    boat = code("call_out__boat__code", "to this boat")
    call_out = number("call_out", "of the call-out with this id")
    step = filters.ChoiceFilter(choices=CallOutStep.Step.choices, label="of this sort")


class CallOutSteps(Ledger):
    """What was promised and done of call-outs; the last step is taken back on the day it was said."""

    shape, takes, corrects = CallOutStepShape, CallOutStepBody, VoidBody
    filterset_class = CallOutStepFilter
    needs = {"GET": "see", "POST": "go out to a boat"}

    def mine(self) -> QuerySet[CallOutStep]:
        return CallOutStep.objects.filter(call_out__boat__in=self.caller.boats)

    def base_of(self, row: CallOutStep) -> int:
        return self.caller.boats[row.call_out.boat_id]

    def enter(self, given: dict[str, Any]) -> CallOutStep:
        call_out, step = given["call_out"], given["step"]
        self.allow_at(self.caller.boats[call_out.boat_id])
        still_standing(call_out)
        _refuse_others(given)
        said = {"who": given.get("who") or self.caller.person.name, "words": given.get("words", "")}
        when = self.when | {"client_id": given["client_id"]} | said
        if step == DONE:
            used = spares_used(call_out.boat, given.get("used", ()), self.caller)
            with about("call_out", spares="used"):
                return close_call_out(call_out, put_right=given.get("put_right", ()), used=used, **when)
        more = {"promised_at": given.get("promised_at"), "takes": given.get("takes", "")}
        return say_step(call_out, step, **more, **when)

    def correct(self, row: CallOutStep, given: dict[str, Any]) -> CallOutStep:
        last = last_step(row.call_out)
        if last is None or last.pk != row.pk:
            raise Conflict("Only the last step of a call-out can be taken back")
        take_back_last(row.call_out, **self.when)
        back: CallOutStep = self.last_of(row)
        return back


def _refuse_others(given: dict[str, Any]) -> None:
    """Refuses what belongs to another step."""
    step = given["step"]
    for name, steps in ONLY.items():
        if given.get(name) and step not in steps:
            raise Refused(f"{name}: wanted nothing where the step is “{step}”")
    if step == DONE and given.get("takes"):
        raise Refused(f"takes: wanted nothing where the step is “{step}”")
