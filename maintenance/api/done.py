"""Services: that a task was done on a component, or is counted from a day; the due list follows."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from typing import Any, cast

import django_filters as filters
from django.db.models import OuterRef, Q, QuerySet, Subquery
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.components import components_of
from fleet.api.fields import Day, LedgerBody, Ref, YesNo, hours
from fleet.api.filters import BaseCode, code, days, yes_no
from fleet.api.ledgers import Ledger
from fleet.api.problems import Conflict
from fleet.api.shapes import CodeOf
from fleet.api.tables import Row
from fleet.boats.models import Boat, Component, Fitting
from maintenance.api.returns import VoidBody
from maintenance.jobs.actions import Task, Work, WorkRefused, record_work, start_counting
from maintenance.jobs.correcting import void_row
from maintenance.jobs.models import Job
from maintenance.servicing.facts import service_dials
from maintenance.servicing.models import Service, ServiceInterval

ANOTHERS = "client_id: wanted a new one, for it is that of other work"


def intervals_seen(caller: Caller) -> QuerySet[ServiceInterval]:
    """The intervals of kinds, which all bases share, and those of one's own components."""
    own = Q(component__in=components_of(caller).values("pk"))
    return ServiceInterval.objects.filter(Q(component__isnull=True) | own)


@contextmanager
def called(**names: str) -> Iterator[None]:
    """Refusals of work, with its fields by the names they have in what was sent."""
    try:
        yield
    except WorkRefused as refused:
        raise WorkRefused(names.get(refused.field, refused.field), refused.wanted) from refused


def stay_on(component: Component, day: date, boats: Sequence[int]) -> Fitting:
    """Where a component was on a day; where it was last, if that was on none of these boats."""
    stays = Fitting.objects.standing().filter(component=component).select_related("boat", "meter")
    aboard = Q(removed_on__isnull=True) | Q(removed_on__gt=day)
    there = stays.filter(aboard, boat__in=boats, fitted_on__lte=day).order_by("fitted_on", "pk").last()
    found: Any = there or stays.order_by("fitted_on", "pk").last()
    return cast(Fitting, found)  # a component of theirs has been somewhere


def job_known(caller: Caller, client_id: str | None) -> Job | None:
    """The work kept under a `client_id`; Conflict where it is not of the caller's boats."""
    job = Job.objects.filter(client_id=client_id).first() if client_id else None
    if job is not None and job.boat_id not in caller.boats:
        raise Conflict(ANOTHERS)
    return job


class ServiceShape(LedgerShape):
    component = CodeOf("component.code")
    interval = CodeOf("interval.code")
    dial = serializers.DecimalField(12, 2, allow_null=True, help_text="hours, as that reading stands now")
    boat = serializers.CharField(allow_null=True, help_text="where the component is fitted now")
    beside = ("dial", "boat")

    class Meta:
        model = Service
        fields = (
            *("id", "boat", "component", "interval", "done_on", "dial", "reading", "counting"),
            *LEDGER,
        )


class ServiceBody(LedgerBody):
    """One task done; or, with `counting`, one that is counted from a day without a claim of work."""

    component = Ref(components_of, help_text="its code")
    interval = Ref(intervals_seen, help_text="its code")
    done_on = Day()
    dial = hours(required=False, allow_null=True, help_text="hours its meter showed that day")
    counting = YesNo(default=False, help_text="nothing is recorded of it: it counts from done_on")


class ServiceFilter(filters.FilterSet):
    base = BaseCode("last_boat")
    boat = filters.CharFilter(method="of_boat", max_length=64, label="on what is on this boat, or was last")
    component = code("component__code", "on this component")
    kind = code("component__kind__code", "on things of this kind")
    system = code("component__kind__system", "on things of this system")
    interval = code("interval__code", "of this interval")
    counting = yes_no("counted from a day, no work claimed")
    locals().update(days("done_on"))

    def of_boat(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return rows.filter(last_boat__in=Boat.objects.filter(code=value).values("pk"))


class Services(Ledger):
    """What was done on each component and when; what is recorded here moves the due list."""

    shape, takes, corrects, filterset_class = ServiceShape, ServiceBody, VoidBody, ServiceFilter
    needs = {"GET": "see", "POST": "record work"}

    def mine(self) -> QuerySet[Service]:
        """Services on what is on one's boats, or was last on one of them."""
        stays = (
            Fitting.objects.standing().filter(component=OuterRef("component")).order_by("-fitted_on", "-pk")
        )
        rows = Service.objects.annotate(last_boat=Subquery(stays.values("boat")[:1]))
        return rows.filter(last_boat__in=self.caller.boats)

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        dials = service_dials(Service.objects.filter(pk__in=[row["id"] for row in rows]))
        stays = Fitting.objects.standing().filter(removed_on__isnull=True)
        here = stays.filter(component__code__in={row["component"] for row in rows})
        boats = dict(here.values_list("component__code", "boat__code"))
        for row in rows:
            row["dial"] = dials.get(row["reading"])
            row["boat"] = boats.get(row["component"])

    def base_of(self, row: Service) -> int | None:
        stays = Fitting.objects.standing().filter(component=row.component_id)
        last = stays.order_by("fitted_on", "pk").last()
        return self.caller.boats.get(last.boat_id) if last else None

    def known(self, client_id: str | None) -> Any:
        """A service has no client_id of its own but a correction's: what it was recorded by has."""
        job = job_known(self.caller, client_id)
        if job is None:
            return super().known(client_id)
        return _only_service(job)

    def enter(self, given: dict[str, Any]) -> Service:
        component, day = given["component"], given["done_on"]
        stay = stay_on(component, day, list(self.caller.boats))
        self.allow_at(self.caller.boats.get(stay.boat_id))
        tasks = [Task(component, given["interval"])]
        when = self.when | {"client_id": given["client_id"]}
        with called(tasks="interval", dials="dial"):
            dials = _dials(stay, given)
            if given["counting"]:
                job = start_counting(stay.boat, tasks, from_on=day, **when)
            else:
                job = record_work(stay.boat, Work(day, tasks, dials), **when)
        if job.boat_id != stay.boat_id:
            raise Conflict(ANOTHERS)
        return _only_service(job)

    def correct(self, row: Service, given: dict[str, Any]) -> Any:
        stays = Fitting.objects.standing().filter(component=row.component_id, removed_on__isnull=True)
        boats = list(stays.values_list("boat_id", flat=True))
        return void_row(row, boats, client_id=given["client_id"], **self.when)


def _dials(stay: Fitting, given: dict[str, Any]) -> dict[Any, Any]:
    """The dial by the meter it is of."""
    if given.get("dial") is None:
        return {}
    if given["counting"]:
        raise WorkRefused("dial", "wanted nothing where a task is only counted from a day")
    if stay.meter is None:
        raise WorkRefused("dial", f"wanted nothing, for {given['component'].code} is on no hour meter")
    return {stay.meter: given["dial"]}


def _only_service(job: Job) -> Service:
    """The one service of a job; Conflict where it has another number of them."""
    links = list(job.services.select_related("service"))
    if len(links) != 1:
        raise Conflict(ANOTHERS)
    return links[0].service
