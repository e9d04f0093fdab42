"""What was decided or done about defects: put right, no fault found, or answered."""

from typing import Any

import django_filters as filters
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.fields import LedgerBody, OneOf, Ref, Text
from fleet.api.filters import BaseCode, code, number
from fleet.api.ledgers import Ledger, still_standing
from fleet.api.problems import Conflict
from fleet.api.shapes import CodeOf
from fleet.refused import Refused
from maintenance.api.returns import VoidBody
from maintenance.defects.actions import answer_report, end_defect
from maintenance.defects.correcting import take_back_step
from maintenance.defects.models import ENDINGS, Defect, DefectStep

ANSWERED = DefectStep.Step.ANSWERED.value


def defects_of(caller: Caller) -> QuerySet[Defect]:
    """Reports of the boats of one's bases, corrected ones too."""
    return Defect.objects.filter(boat__in=caller.boats)


class DefectStepShape(LedgerShape):
    boat = CodeOf("defect.boat.code")
    who = CodeOf("by", help_text="by name")

    class Meta:
        model = DefectStep
        fields = ("id", "boat", "defect", "step", "who", "why", *LEDGER)


class DefectStepBody(LedgerBody):
    """How a defect ended, or what the one who reported it is told, which leaves it open."""

    defect = Ref(defects_of, by="pk", help_text="its id")
    step = OneOf(choices=(*ENDINGS, ANSWERED))
    who = Text(max_length=120, required=False, help_text="who says so; you unless told")
    why = Text(
        max_length=500,
        required=False,
        allow_blank=True,
        default="",
        help_text="what was found or done; the words of the answer",
    )


class DefectStepFilter(filters.FilterSet):
    base = BaseCode("defect__boat")
    boat = code("defect__boat__code", "of this boat")
    defect = number("defect", "of the defect with this id")
    step = filters.ChoiceFilter(choices=[(s, s) for s in (*ENDINGS, ANSWERED)], label="of this sort")


class DefectSteps(Ledger):
    """How defects ended and what was answered; to take an end back opens the defect again."""

    shape, takes, corrects = DefectStepShape, DefectStepBody, VoidBody
    filterset_class = DefectStepFilter
    needs = {"GET": "see", "POST": "answer a report"}

    def mine(self) -> QuerySet[DefectStep]:
        return DefectStep.objects.filter(defect__boat__in=self.caller.boats)

    def base_of(self, row: DefectStep) -> int:
        return self.caller.boats[row.defect.boat_id]

    def enter(self, given: dict[str, Any]) -> DefectStep:
        defect, step, why = given["defect"], given["step"], given["why"]
        self.allow_step(step, self.caller.boats[defect.boat_id])
        still_standing(defect)
        when = self.when | {
            "client_id": given["client_id"],
            "who": given.get("who") or self.caller.person.name,
        }
        if step == ANSWERED:
            if not why.strip():
                raise Refused("why: wanted what the one who reported it is told")
            return answer_report(defect, words=why, **when)
        ended = end_defect(defect, step=step, why=why, **when)
        if (ended.client_id, ended.recorded_at) != (given["client_id"], self.caller.now):
            raise Conflict(f"It has ended: step {ended.pk}, {ended.by} said “{ended.step}”")
        return ended

    def correct(self, row: DefectStep, given: dict[str, Any]) -> DefectStep:
        self.allow_step(row.step, self.base_of(row))
        return take_back_step(row, client_id=given["client_id"], **self.when)

    def allow_step(self, step: str, base: int) -> None:
        """Ends are the engineer's and the manager's; who may end may answer, not the other way."""
        action = "answer a report" if step == ANSWERED else "put a defect right"
        if not self.caller.may(action, base):
            raise PermissionDenied(action)
