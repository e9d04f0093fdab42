"""What was sent away for service: sent, a lent one aboard, back with its paper."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.components import components_of
from fleet.api.fields import Day, LedgerBody, OneOf, Ref, Several, Text
from fleet.api.filters import BaseCode, code, days
from fleet.api.ledgers import Ledger
from fleet.api.problems import Conflict
from fleet.api.shapes import CodeOf
from fleet.boats.models import SINCE_EVER
from maintenance.api.done import ANOTHERS, called, intervals_seen
from maintenance.api.jobs import AsPrinted
from maintenance.api.returns import VoidBody
from maintenance.jobs.actions import Task, WorkRefused
from maintenance.jobs.away import back_with_paper, lend_aboard, send_away, undo_last_step
from maintenance.jobs.models import AwayStep

SENT, LENT, BACK = (step.value for step in AwayStep.Step)
# What each step must say, and what it may say besides; anything else belongs to another step.
NEEDS = {SENT: ("whom",), LENT: ("serial",), BACK: ("paper", "tasks")}
MAY = {SENT: ("wanted_back_on",), LENT: ("whom", "good_through"), BACK: ("printed",)}
SAID = ("whom", "serial", "good_through", "wanted_back_on", "paper", "tasks", "printed")


class AwayStepShape(LedgerShape):
    component = CodeOf("component.code")
    boat = CodeOf("boat.code")

    class Meta:
        model = AwayStep
        fields = (
            *("id", "component", "boat", "step", "day", "whom", "wanted_back_on", "serial"),
            *("good_through", "paper", "job", *LEDGER),
        )


class AwayStepBody(LedgerBody):
    """Sent away needs whom; lent one aboard its serial number; back its paper and what was done."""

    component = Ref(components_of, help_text="its code")
    step = OneOf(choices=AwayStep.Step.values)
    day = Day(help_text="left, aboard since, or the day of the service as its paper says")
    whom = Text(max_length=120, required=False, allow_blank=True, help_text="sent to, or lent by")
    wanted_back_on = Day(required=False, allow_null=True)
    serial = Text(max_length=80, required=False, allow_blank=True, help_text="of the lent one")
    good_through = Day(required=False, allow_null=True, help_text="the date on the lent one")
    paper = Text(max_length=120, required=False, allow_blank=True, help_text="the number of its paper")
    tasks = Several(
        child=Ref(intervals_seen),
        required=False,
        max_length=100,
        help_text="what was done, by the codes of the intervals",
    )
    printed = AsPrinted(required=False, allow_blank=True, help_text="the date now printed on it")


class AwayStepFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    component = code("component__code", "of this component")
    kind = code("component__kind__code", "of this kind")
    system = code("component__kind__system", "of this system")
    step = filters.ChoiceFilter(choices=AwayStep.Step.choices, label="of this sort")
    locals().update(days("day"))


class AwaySteps(Ledger):
    """Things sent away for service: their tasks stay open until they are back with their paper."""

    shape, takes, corrects = AwayStepShape, AwayStepBody, VoidBody
    filterset_class = AwayStepFilter
    needs = {"GET": "see", "POST": "record work"}

    def mine(self) -> QuerySet[AwayStep]:
        return AwayStep.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: AwayStep) -> int:
        return self.caller.boats[row.boat_id]

    def enter(self, given: dict[str, Any]) -> AwayStep:
        component, step = given["component"], given["step"]
        self.allow_at(self.caller.boats.get(component.last_boat))
        said = _said(step, given)
        when = self.when | {"client_id": given["client_id"], "day": given["day"]}
        if step == SENT:
            return send_away(component, **said, **when)
        if step == LENT:
            lent = {"whom": "", "good_through": None} | said
            return lend_aboard(component, **lent, **when)
        tasks = [Task(component, interval) for interval in dict.fromkeys(said.pop("tasks"))]
        with called(done_on="day"):
            job = back_with_paper(tasks, **{"printed": "", **said}, **when)
        back: AwayStep | None = AwayStep.objects.filter(job=job, component=component, step=BACK).first()
        if back is None:
            raise Conflict(ANOTHERS)
        return back

    def correct(self, row: AwayStep, given: dict[str, Any]) -> Any:
        """Takes back that a thing was sent, or the lent one; what is back is undone with its job."""
        undone = undo_last_step(row.component, client_id=given["client_id"], **self.when)
        if undone is None or undone.pk != row.pk:
            raise Conflict(
                "Only what was said last of a thing that is away can be taken back; what is back, by its job"
            )
        return self.last_of(row)


def _said(step: str, given: dict[str, Any]) -> dict[str, Any]:
    """What a step says; WorkRefused names what is wanted, or is not wanted with this one."""
    said = {name: given[name] for name in SAID if given.get(name)}
    for name in NEEDS[step]:
        if name not in said:
            raise WorkRefused(name, f"wanted where the step is “{step}”")
    for name in said:
        if name not in (*NEEDS[step], *MAY[step]):
            raise WorkRefused(name, f"wanted nothing where the step is “{step}”")
    for name in ("day", "wanted_back_on", "good_through"):
        if (given.get(name) or SINCE_EVER) < SINCE_EVER:
            raise WorkRefused(name, f"wanted a day from {SINCE_EVER} on")
    return said
