"""Jobs: several tasks of one boat recorded in one go, with dials, spares and printed dates."""

from collections.abc import Iterator, Sequence
from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.components import components_of
from fleet.api.fields import Body, Day, LedgerBody, OneOf, Ref, Text, Whole, boats_of, hours
from fleet.api.filters import BaseCode, code, days
from fleet.api.ledgers import Ledger, known_at
from fleet.api.problems import Conflict
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Row
from fleet.boats.dates import DateNotClear, good_through, spoken
from fleet.boats.models import SINCE_EVER, Boat
from maintenance.api.done import ANOTHERS, called, intervals_seen, job_known
from maintenance.api.returns import UsedBody, VoidBody, spares_used
from maintenance.jobs.actions import Task, Work, WorkRefused, record_work, start_counting, take_back_job
from maintenance.jobs.models import Job, JobMove, JobPrintedDate, JobReading, JobService

MOST_MINUTES = 100_000
# What a job kept: the name it is told by, the table that ties it to the job, the column of its id.
KEPT = (
    ("services", JobService, "service_id"),
    ("readings", JobReading, "reading_id"),
    ("moves", JobMove, "move_id"),
    ("printed_dates", JobPrintedDate, "printed_date_id"),
)


class AsPrinted(Text):
    """A printed date as it is written; one that could mean several days, or none, is refused."""

    def __init__(self, **more: Any) -> None:
        more.setdefault("help_text", "a day such as 2027-06-15, or a month such as 2027-06")
        super().__init__(max_length=60, **more)

    def to_internal_value(self, data: Any) -> str:
        written: str = super().to_internal_value(data)
        try:
            good_through(written)
        except DateNotClear as wrong:
            raise serializers.ValidationError(wrong.wanted) from wrong
        return written


class JobTaskBody(Body):
    """One interval's task on one component."""

    component = Ref(components_of, help_text="its code")
    interval = Ref(intervals_seen, help_text="its code")


class JobDialBody(Body):
    """What one meter showed that day."""

    meter = Text(max_length=64, help_text="the meter's name")
    dial = hours(help_text="hours")


class JobPrintedBody(Body):
    """The date now printed on a thing worked on."""

    component = Ref(components_of, help_text="its code")
    as_written = AsPrinted()


class JobBody(LedgerBody):
    """Work on one boat in one go. A dial that cannot be right is kept as doubtful."""

    boat = Ref(boats_of, help_text="her code")
    sort = OneOf(
        choices=Job.Sort.values,
        default=Job.Sort.SERVICE,
        help_text="“start counting” counts the tasks from the day and claims no work",
    )
    day = Day()
    tasks = JobTaskBody(many=True, required=False)
    dials = JobDialBody(many=True, required=False)
    used = UsedBody(many=True, required=False)
    printed = JobPrintedBody(many=True, required=False)
    minutes = Whole(required=False, allow_null=True, min_value=1, max_value=MOST_MINUTES)
    who = Text(max_length=120, required=False, allow_blank=True, default="")


class JobShape(Shape):
    boat = CodeOf("boat.code")
    charter = CodeOf("charter.code", allow_null=True)
    minutes = serializers.IntegerField(source="minutes_taken", allow_null=True)
    followed = serializers.DictField(help_text="what came of it: due days moved, readings in doubt, stock")
    recorded_by = CodeOf("recorded_by.name", allow_null=True, help_text="by name")
    services = serializers.ListField(child=serializers.IntegerField(), help_text="ids")
    readings = serializers.ListField(child=serializers.IntegerField(), help_text="ids")
    moves = serializers.ListField(child=serializers.IntegerField(), help_text="ids of stock moves")
    printed_dates = serializers.ListField(child=serializers.IntegerField(), help_text="ids")
    beside = tuple(name for name, _, _ in KEPT)

    class Meta:
        model = Job
        fields = (
            *("id", "boat", "charter", "sort", "state", "day", "minutes_planned", "minutes", "who"),
            *("services", "readings", "moves", "printed_dates", "followed"),
            *("recorded_at", "recorded_by", "client_id"),
        )


class JobFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "on this boat")
    charter = code("charter__code", "at this charter")
    sort = filters.ChoiceFilter(choices=Job.Sort.choices, label="done, or only counted from a day")
    state = filters.ChoiceFilter(choices=Job.State.choices, label="whether it was taken back")
    locals().update(days("day"))


class Jobs(Ledger):
    """Work on your boats as it was recorded; taken back on the day it was recorded, and not after."""

    shape, takes, corrects, filterset_class = JobShape, JobBody, VoidBody, JobFilter
    needs = {"GET": "see", "POST": "record work"}

    def mine(self) -> QuerySet[Job]:
        return Job.objects.filter(boat__in=self.caller.boats).order_by()

    def rows(self) -> QuerySet[Job]:
        """A job's row is not replaced: one recorded by an instant is shown in the state it has now."""
        moment = known_at(self.request)
        return self.mine() if moment is None else self.mine().filter(recorded_at__lte=moment)

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        jobs = {row["id"]: row for row in rows}
        for name, table, column in KEPT:
            for row in rows:
                row[name] = []
            links = table.objects.filter(job__in=jobs).order_by("pk")
            for job, kept in links.values_list("job_id", column):
                jobs[job][name].append(kept)

    def base_of(self, row: Job) -> int:
        return self.caller.boats[row.boat_id]

    def known(self, client_id: str | None) -> Any:
        return job_known(self.caller, client_id)

    def enter(self, given: dict[str, Any]) -> Job:
        boat: Boat = given["boat"]
        self.allow_at(self.caller.boats[boat.pk])
        when = self.when | {"client_id": given["client_id"]}
        _refuse_day(boat, given, self.caller.today(self.caller.boats[boat.pk]))
        _refuse_doubles(given)
        work = self._work(boat, given)
        with called(done_on="day"):
            if given["sort"] == Job.Sort.COUNTING:
                job = start_counting(boat, work.tasks, from_on=work.done_on, **when)
            else:
                job = record_work(boat, work, **when)
        if job.boat_id != boat.pk:
            raise Conflict(ANOTHERS)
        return job

    def _work(self, boat: Boat, given: dict[str, Any]) -> Work:
        if given["sort"] == Job.Sort.COUNTING:
            _refuse_claims(given)
        return Work(
            given["day"],
            [Task(task["component"], task["interval"]) for task in given.get("tasks", ())],
            dials=dict(_meters(boat, given.get("dials", ()))),
            used=spares_used(boat, given.get("used", ()), self.caller),
            printed={one["component"]: one["as_written"] for one in given.get("printed", ())},
            minutes=given.get("minutes"),
            who=given["who"],
        )

    @action(detail=True, methods=["post"])
    def corrections(self, request: Request, pk: str) -> Response:  # type: ignore[override]
        """Takes the whole job back, on the day it was recorded: 200 where it was taken back already."""
        job = self.one(pk)
        self.allow_at(self.base_of(job))
        self.body(VoidBody, request.data)
        status = 200 if job.state == Job.State.TAKEN_BACK else 201
        return Response(self.told(take_back_job(job, **self.when)), status=status)


def _refuse_day(boat: Boat, given: dict[str, Any], today: Any) -> None:
    if not SINCE_EVER <= given["day"] <= today:
        raise WorkRefused("day", f"wanted a day up to today, {spoken(today)}")


def _refuse_claims(given: dict[str, Any]) -> None:
    for name in ("dials", "used", "printed", "minutes", "who"):
        if given.get(name):
            raise WorkRefused(name, "wanted nothing where tasks are only counted from a day")


def _refuse_doubles(given: dict[str, Any]) -> None:
    """One task, one meter, one printed date each: of two, nobody knows which was meant."""
    told = {
        "tasks": [(task["component"].pk, task["interval"].pk) for task in given.get("tasks", ())],
        "dials": [dial["meter"] for dial in given.get("dials", ())],
        "printed": [one["component"].pk for one in given.get("printed", ())],
    }
    for name, keys in told.items():
        if len(set(keys)) < len(keys):
            raise WorkRefused(name, "wanted each one once")


def _meters(boat: Boat, dials: Sequence[dict[str, Any]]) -> Iterator[tuple[Any, Any]]:
    meters = {meter.name: meter for meter in boat.meters.all()} if dials else {}
    for dial in dials:
        if dial["meter"] not in meters:
            names = ", ".join(meters) or "none: she has no meter"
            raise WorkRefused("dials", f"wanted a meter of {boat.name}, one of {names}")
        yield meters[dial["meter"]], dial["dial"]
