"""What can be done about work: record it, start counting, take it back."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db.models import Q

from fleet.boats.actions import read_printed_date
from fleet.boats.facts import base_of, today_of
from fleet.boats.models import Boat, Component, Fitting, Meter
from fleet.ledger import enter, latest, once, take_back
from fleet.meters.actions import doubt_what_no_longer_fits, record_reading
from fleet.meters.models import Reading
from fleet.people.models import Person
from fleet.refused import Refused, TooLate
from maintenance.jobs.models import Job, JobMove, JobPrintedDate, JobReading, JobService
from maintenance.servicing.following import due_list_follows
from maintenance.servicing.models import Service, ServiceInterval
from maintenance.spares.actions import SpareUsed, counted_since, use_spares, what_follows, wrong_use
from maintenance.spares.models import StockMove


class WorkRefused(Refused):
    """Work that cannot be recorded as given; `field` names what to put right."""

    def __init__(self, field: str, wanted: str) -> None:
        super().__init__(f"{field}: {wanted}")


class TooLateToTakeBack(TooLate):
    """Something recorded on an earlier day: it is corrected by what is true now, not undone."""


@dataclass(frozen=True, slots=True)
class Task:
    """One interval's task on one component."""

    component: Component
    interval: ServiceInterval


@dataclass(frozen=True, slots=True)
class Work:
    """What was done on one boat in one go; dials in hours by meter, printed dates by component."""

    done_on: date
    tasks: Sequence[Task]
    dials: Mapping[Meter, Decimal] = field(default_factory=dict)
    used: Sequence[SpareUsed] = ()
    printed: Mapping[Component, str] = field(default_factory=dict)
    minutes: int | None = None
    who: str = ""


def record_work(
    boat: Boat, work: Work, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Job:
    """Records tasks done, the dials read, the spares used and the new printed dates, as one act.

    Sent twice with one `client_id` it is kept once. WorkRefused where a task cannot have been
    done as said; a dial that cannot be right is kept as doubtful and moves nothing.
    """
    return once(lambda: _known(client_id), lambda: _record_work(boat, work, at, by, client_id))


def start_counting(
    boat: Boat,
    tasks: Sequence[Task],
    *,
    from_on: date,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Job:
    """Counts never-recorded tasks from a day on, without claiming that any work was done."""
    work = Work(from_on, tasks)
    return once(lambda: _known(client_id), lambda: _start_counting(boat, work, at, by, client_id))


def take_back_job(job: Job, *, at: datetime, by: Person | None = None) -> Job:
    """Undoes a job within the day by rows that take back what it kept; twice changes nothing."""
    if job.state == Job.State.TAKEN_BACK:
        return job
    refuse_late(job.boat, job.recorded_at, at)
    _refuse_read_again(job)
    with due_list_follows([job.boat_id], at=at):
        undo_rows(_rows_of(job), at=at, by=by)
        job.state = Job.State.TAKEN_BACK
        job.save()
    return job


def undo_rows(rows: Iterable[Any], *, at: datetime, by: Person | None = None) -> None:
    """Takes rows back, but for spares counted since; a dial that then fits no more is in doubt."""
    meters = set()
    for row in rows:
        if isinstance(row, StockMove) and counted_since(row):
            continue
        take_back(row, at=at, by=by)
        if isinstance(row, Reading):
            meters.add(row.meter_id)
    doubt_what_no_longer_fits(meters, at=at, by=by)


def refuse_late(boat: Boat, recorded_at: datetime, at: datetime) -> None:
    """TooLateToTakeBack where something was recorded before today at the boat's base."""
    base = base_of(boat, at.date())
    if base.day_of(recorded_at) != base.day_of(at):
        raise TooLateToTakeBack(
            f"It was recorded on {base.day_of(recorded_at)}; only what was recorded today can be taken back."
        )


def _refuse_read_again(job: Job) -> None:
    """A printed date that another job has read since would come back with this one's."""
    for link in job.printed_dates.select_related("printed_date__component"):
        row = link.printed_date
        if latest(row).good_through != row.good_through:
            raise TooLateToTakeBack(
                f"The date printed on {row.component.code} was recorded again since; take that back first."
            )


def _record_work(boat: Boat, work: Work, at: datetime, by: Person | None, client_id: str | None) -> Job:
    today = today_of(boat, at)
    with due_list_follows([boat.pk], at=at) as moved:
        fitted = _refuse_impossible(boat, work, today)
        job = _job(boat, Job.Sort.SERVICE, work, at, by, client_id)
        readings = _record_dials(job, work, at, by)
        _record_services(job, work, fitted, readings, at, by)
        _record_parts(job, work, at, by)
    stock = what_follows(work.used, on=today).as_json()
    doubtful = [r.pk for r in readings.values() if r.standing == Reading.Standing.DOUBTFUL]
    return _followed(job, {"moved": [m.as_json() for m in moved], "doubtful": doubtful, **stock})


def _start_counting(boat: Boat, work: Work, at: datetime, by: Person | None, client_id: str | None) -> Job:
    today = today_of(boat, at)
    with due_list_follows([boat.pk], at=at) as moved:
        fitted = _refuse_impossible(boat, work, today)
        job = _job(boat, Job.Sort.COUNTING, work, at, by, client_id)
        _record_services(job, work, fitted, {}, at, by, counting=True)
    return _followed(job, {"moved": [m.as_json() for m in moved]})


def _rows_of(job: Job) -> Iterable[Any]:
    yield from (link.service for link in job.services.select_related("service"))
    yield from (link.reading for link in job.readings.select_related("reading"))
    yield from (link.move for link in job.moves.select_related("move"))
    yield from (link.printed_date for link in job.printed_dates.select_related("printed_date"))
    yield from job.away_steps.standing()


def _known(client_id: str | None) -> Job | None:
    return Job.objects.filter(client_id=client_id).first() if client_id else None


def _refuse_impossible(boat: Boat, work: Work, today: date) -> dict[int, Fitting]:
    """The fitting of each component that day; WorkRefused for what cannot have been done."""
    if work.done_on > today:
        raise WorkRefused("done_on", f"wanted a day up to today, {today}")
    if not work.tasks and not work.dials and not work.used:
        raise WorkRefused("tasks", "wanted at least one task that was done")
    for meter in work.dials:
        if meter.boat_id != boat.pk:
            raise WorkRefused("dials", f"{meter.name} is not a meter of {boat.name}")
    if wrong := wrong_use(boat, work.used, on=today):
        raise WorkRefused("used", wrong)
    aboard = Q(removed_on__isnull=True) | Q(removed_on__gt=work.done_on)
    components = [*(task.component.pk for task in work.tasks), *(part.pk for part in work.printed)]
    rows = Fitting.objects.standing().filter(aboard, boat=boat, component__in=components)
    fitted = {
        row.component_id: row for row in rows.select_related("meter").filter(fitted_on__lte=work.done_on)
    }
    for part in work.printed:
        if part.pk not in fitted:
            raise WorkRefused("printed", f"{part.code} was not on {boat.name} on {work.done_on}")
    already = _already(work)
    for task in work.tasks:
        _refuse_task(task, boat, work.done_on, fitted, already)
    return fitted


def _already(work: Work) -> set[tuple[int, int]]:
    rows = Service.objects.standing().filter(
        component__in=[task.component.pk for task in work.tasks], done_on=work.done_on
    )
    return set(rows.values_list("component_id", "interval_id"))


def _refuse_task(
    task: Task, boat: Boat, day: date, fitted: Mapping[int, Fitting], already: set[tuple[int, int]]
) -> None:
    if task.component.pk not in fitted:
        first = (
            Fitting.objects.standing()
            .filter(component=task.component, boat=boat)
            .order_by("fitted_on")
            .first()
        )
        since = f"; it was fitted on {first.fitted_on}" if first is not None else ""
        raise WorkRefused("done_on", f"{task.component.code} was not on {boat.name} on {day}{since}")
    own, kind = task.interval.component_id, task.interval.kind_id
    if own != task.component.pk and kind != task.component.kind_id:
        raise WorkRefused("tasks", f"“{task.interval.task}” is not a task of {task.component.code}")
    if (task.component.pk, task.interval.pk) in already:
        raise WorkRefused(
            "tasks", f"“{task.interval.task}” on {task.component.code} is recorded for {day} already"
        )


def _job(boat: Boat, sort: str, work: Work, at: datetime, by: Person | None, client_id: str | None) -> Job:
    planned = sum(task.interval.minutes or 0 for task in work.tasks)
    job = Job(
        boat=boat,
        sort=sort,
        state=Job.State.DONE,
        day=work.done_on,
        minutes_planned=planned,
        minutes_taken=work.minutes,
        who=work.who,
        client_id=client_id,
        recorded_at=at,
        recorded_by=by,
    )
    job.full_clean(exclude=["client_id"])
    job.save()
    return job


def _followed(job: Job, followed: dict[str, Any]) -> Job:
    job.followed = followed
    job.save()
    return job


def _record_dials(job: Job, work: Work, at: datetime, by: Person | None) -> dict[int, Reading]:
    readings = {}
    for meter, dial in work.dials.items():
        reading = record_reading(meter, day=work.done_on, dial=dial, at=at, by=by, noted=True)
        JobReading.objects.create(job=job, reading=reading)
        readings[meter.pk] = reading
    return readings


def _record_services(
    job: Job,
    work: Work,
    fitted: Mapping[int, Fitting],
    readings: Mapping[int, Reading],
    at: datetime,
    by: Person | None,
    *,
    counting: bool = False,
) -> None:
    for task in work.tasks:
        service = Service(
            component=task.component,
            interval=task.interval,
            done_on=work.done_on,
            reading=readings.get(fitted[task.component.pk].meter_id or 0),
            counting=counting,
        )
        JobService.objects.create(job=job, service=enter(service, at=at, by=by))


def _record_parts(job: Job, work: Work, at: datetime, by: Person | None) -> None:
    for move in use_spares(work.used, day=work.done_on, at=at, by=by):
        JobMove.objects.create(job=job, move=move)
    for component, as_written in work.printed.items():
        printed = read_printed_date(component, as_written=as_written, at=at, by=by)
        JobPrintedDate.objects.create(job=job, printed_date=printed)
