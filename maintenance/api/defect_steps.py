"""What was decided or done about defects: seen, graded, looked at, put right, no fault found, answered."""

from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.core.exceptions import PermissionDenied
from django.db.models import Q, QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.fields import LedgerBody, OneOf, Ref, Text, YesNo
from fleet.api.filters import BaseCode, code, number
from fleet.api.ledgers import Ledger, still_standing
from fleet.api.problems import Conflict
from fleet.api.register_fields import about, line
from fleet.api.shapes import CodeOf
from fleet.api.tables import Row
from fleet.refused import Refused
from maintenance.api.defects import defects_of
from maintenance.api.papers_at import digests, papers_at, some_papers
from maintenance.defects.actions import (
    add_papers,
    answer_report,
    end_defect,
    grade_defect,
    look_at,
    say_if_happening,
    see_report,
)
from maintenance.defects.correcting import take_back_step
from maintenance.defects.models import ENDINGS, Defect, DefectStep, StepPaper
from maintenance.defects.rules import GRADES, OPENED

Step = DefectStep.Step
GRADED, LOOKED, ANSWERED = Step.GRADED.value, Step.LOOKED.value, Step.ANSWERED.value
HAPPENING, STOPPED, PUT_RIGHT = Step.HAPPENING.value, Step.STOPPED.value, Step.PUT_RIGHT.value
SEEN = Step.SEEN.value
# What one must be allowed to do for each step.
ACTIONS = {
    **dict.fromkeys(ENDINGS, "put a defect right"),
    GRADED: "grade and defer",
    LOOKED: "look at an alarm",
    **dict.fromkeys((ANSWERED, SEEN), "answer a report"),
    **dict.fromkeys((HAPPENING, STOPPED), "report a defect"),
}
# What only some steps say; anything else belongs to another one.
ONLY = {
    "grade": (GRADED,),
    "function": (GRADED,),
    "nothing": (LOOKED,),
    "opened": (PUT_RIGHT,),
    "papers": (LOOKED, *ENDINGS),
}


class DefectStepShape(LedgerShape):
    boat = CodeOf("defect.boat.code")
    who = CodeOf("by", help_text="by name")
    papers = serializers.ListField(child=serializers.CharField(), help_text="sha256 of each")
    beside = ("papers",)

    class Meta:
        model = DefectStep
        fields = (
            *("id", "boat", "defect", "step", "who", "why", "grade", "function", "opened", "papers"),
            *LEDGER,
        )


class DefectStepBody(LedgerBody):
    """How bad a defect is, what was seen after an alarm, whether it is happening, how it ended, or what
    the one who reported it is told, which leaves it open. A look that found nothing ends it too. `seen`
    says that somebody of the base has read the report, which its sender is told; the first one counts."""

    defect = Ref(defects_of, by="pk", help_text="its id")
    step = OneOf(choices=Step.values)
    who = Text(max_length=120, required=False, help_text="who says so; you unless told")
    why = Text(
        max_length=500,
        required=False,
        allow_blank=True,
        default="",
        help_text="what was seen, found or done; the words of the answer",
    )
    grade = OneOf(choices=GRADES, required=False, help_text="wanted where it is graded")
    function = line(
        60, help_text="graded: what it touches (charging, bilge ...), where its thing does not say"
    )
    nothing = YesNo(required=False, help_text="looked at: there was nothing, so it ends")
    opened = OneOf(
        choices=OPENED, required=False, allow_blank=True, help_text="put right: what was taken apart for it"
    )
    papers = some_papers()


class DefectStepCorrection(LedgerBody):
    """Takes a step back; or adds papers of it that came in later, which changes nothing else."""

    void = YesNo(default=False)
    papers = some_papers()

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        if given["void"] == bool(given.get("papers")):
            raise serializers.ValidationError({"void": ["wanted true, or papers to add"]})
        return given


class DefectStepFilter(filters.FilterSet):
    base = BaseCode("defect__boat")
    boat = code("defect__boat__code", "of this boat")
    defect = number("defect", "of the defect with this id, however often it was corrected")
    step = filters.ChoiceFilter(choices=[(s, s) for s in Step.values], label="of this sort")

    def filter_queryset(self, queryset: QuerySet[DefectStep]) -> QuerySet[DefectStep]:
        """A step stands with the report as it first came in; any row of it will do to ask."""
        asked = self.form.cleaned_data.pop("defect", None)
        rows: QuerySet[DefectStep] = super().filter_queryset(queryset)
        if asked is None:
            return rows
        first = Defect.objects.filter(pk=asked, first__isnull=False).values("first")
        return rows.filter(Q(defect=asked) | Q(defect__in=first))


class DefectSteps(Ledger):
    """What was decided and done about defects; to take an end back opens the defect again."""

    shape, takes, corrects = DefectStepShape, DefectStepBody, DefectStepCorrection
    filterset_class = DefectStepFilter
    needs = {"GET": "see", "POST": "answer a report"}

    def mine(self) -> QuerySet[DefectStep]:
        return DefectStep.objects.filter(defect__boat__in=self.caller.boats)

    def base_of(self, row: DefectStep) -> int:
        return self.caller.boats[row.defect.boat_id]

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        papers = digests(StepPaper, "step", [row["id"] for row in rows])
        for row in rows:
            row["papers"] = papers[row["id"]]

    def enter(self, given: dict[str, Any]) -> DefectStep:
        defect, step = given["defect"], given["step"]
        base = self.caller.boats[defect.boat_id]
        self.allow_step(step, base)
        still_standing(defect)
        _refuse_others(given)
        when = self.when | {
            "client_id": given["client_id"],
            "who": given.get("who") or self.caller.person.name,
        }
        papers = papers_at(base, given.get("papers", ()))
        if step in ENDINGS:
            return self._end(defect, given, papers, when)
        with about("defect", words="why", seen="why"):
            return _said(defect, given, papers, when)

    def _end(
        self, defect: Defect, given: dict[str, Any], papers: Sequence[Any], when: dict[str, Any]
    ) -> DefectStep:
        more = {"opened": given.get("opened", ""), "papers": papers, "why": given["why"]}
        ended = end_defect(defect, step=given["step"], **more, **when)
        if (ended.client_id, ended.recorded_at) != (given["client_id"], self.caller.now):
            raise Conflict(f"It has ended: step {ended.pk}, {ended.by} said “{ended.step}”")
        return ended

    def correct(self, row: DefectStep, given: dict[str, Any]) -> DefectStep:
        base = self.base_of(row)
        self.allow_step(row.step, base)
        if not given["void"]:
            _refuse_papers(row)
            add_papers(row, papers_at(base, given["papers"]))
            return row
        return take_back_step(row, client_id=given["client_id"], **self.when)

    def allow_step(self, step: str, base: int) -> None:
        """Grades and ends are the engineer's and the manager's; anybody there looks and answers."""
        if not self.caller.may(ACTIONS[step], base):
            raise PermissionDenied(ACTIONS[step])


def _said(defect: Defect, given: dict[str, Any], papers: Sequence[Any], when: dict[str, Any]) -> DefectStep:
    """Keeps what leaves a defect open, and a look."""
    step, why = given["step"], given["why"]
    if step == GRADED:
        more = {"grade": given["grade"], "function": given.get("function", "")}
        return grade_defect(defect, why=why, **more, **when)
    if step == LOOKED:
        return look_at(defect, seen=why, nothing=given.get("nothing", False), papers=papers, **when)
    if step == SEEN:
        return _seen(defect, when)
    if step in (HAPPENING, STOPPED):
        return say_if_happening(defect, happening=step == HAPPENING, **when)
    return answer_report(defect, words=why, **when)


def _seen(defect: Defect, when: dict[str, Any]) -> DefectStep:
    step = see_report(defect, **when)
    if (step.client_id, step.recorded_at) != (when["client_id"], when["at"]):
        raise Conflict(f"It was seen: step {step.pk}, {step.by}")
    return step


def _refuse_papers(row: DefectStep) -> None:
    if row.step not in ONLY["papers"]:
        raise Refused(f"papers: wanted nothing where the step is “{row.step}”")


def _refuse_others(given: dict[str, Any]) -> None:
    """Refuses what belongs to another step, and a step that says nothing of its own."""
    step = given["step"]
    for name, steps in ONLY.items():
        if given.get(name) and step not in steps:
            raise Refused(f"{name}: wanted nothing where the step is “{step}”")
    if step == GRADED and not given.get("grade"):
        raise Refused(f"grade: wanted one of {', '.join(GRADES)}")
    if step in (LOOKED, ANSWERED) and not given["why"].strip():
        wanted = "what was seen" if step == LOOKED else "what the one who reported it is told"
        raise Refused(f"why: wanted {wanted}")
    if step in (HAPPENING, STOPPED, SEEN) and given["why"].strip():
        raise Refused(f"why: wanted nothing where the step is “{step}”")
