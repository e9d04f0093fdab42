"""A thing sent away for service: sent, a lent one aboard, back with its paper are three facts."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction
from django.db.models import QuerySet

from fleet.bases.turns import take_turn
from fleet.boats.facts import today_of
from fleet.boats.models import SINCE_EVER, Boat, Component, Fitting
from fleet.ledger import enter, take_back
from fleet.people.models import Person
from maintenance.jobs.actions import Task, Work, WorkRefused, record_work
from maintenance.jobs.models import AwayStep, Job


@dataclass(frozen=True, slots=True)
class Away:
    """A component that is not aboard: where it went, and what stands in for it."""

    sent: AwayStep
    lent: AwayStep | None = None


def away_now(components: Collection[int]) -> dict[int, Away]:
    """Of these components, those sent away and not yet back, in the order it was said; one query."""
    return _away(AwayStep.objects.standing().filter(component__in=components))


def away_on(boats: Collection[int], on: date, known_at: datetime | None = None) -> dict[int, Away]:
    """What was away from boats on a day, as it was known at an instant (now, where None); one query."""
    steps = AwayStep.objects.standing(known_at).filter(boat__in=boats, day__lte=on)
    return _away(steps)


def _away(steps: QuerySet[AwayStep]) -> dict[int, Away]:
    found: dict[int, Away] = {}
    for step in steps.select_related("component__kind", "recorded_by").order_by("pk"):
        known = found.get(step.component_id)
        if step.step == AwayStep.Step.SENT:
            found[step.component_id] = Away(step)
        elif step.step == AwayStep.Step.BACK:
            found.pop(step.component_id, None)
        elif known is not None:
            found[step.component_id] = Away(known.sent, step)
    return found


def away_from(boats: Collection[int]) -> dict[int, list[Away]]:
    """What is away from each boat, whether its task is due or not; two queries."""
    sent = AwayStep.objects.standing().filter(boat__in=boats, step=AwayStep.Step.SENT)
    components = list(sent.values_list("component_id", flat=True).distinct())
    found: dict[int, list[Away]] = {}
    for away in away_now(components).values():
        found.setdefault(away.sent.boat_id, []).append(away)
    return found


@transaction.atomic
def send_away(
    component: Component,
    *,
    whom: str,
    day: date,
    at: datetime,
    by: Person | None = None,
    wanted_back_on: date | None = None,
    client_id: str | None = None,
) -> AwayStep:
    """Says that a thing left for service, and to whom; its task stays open until it is back."""
    take_turn()
    if component.pk in away_now([component.pk]):
        raise WorkRefused("component", f"{component.code} is away already")
    step = AwayStep(step=AwayStep.Step.SENT, whom=whom, day=day, wanted_back_on=wanted_back_on)
    return _keep(step, component, at, by, client_id)


@transaction.atomic
def undo_last_step(
    component: Component, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> AwayStep | None:
    """Takes back that a thing was sent, or the lent one, whichever was said last; None where it is
    not away."""
    take_turn()
    away = away_now([component.pk]).get(component.pk)
    if away is None:
        return None
    last = away.lent or away.sent
    take_back(last, at=at, by=by, client_id=client_id)
    return last


@transaction.atomic
def lend_aboard(
    component: Component,
    *,
    whom: str,
    serial: str,
    good_through: date | None,
    day: date,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> AwayStep:
    """Says which lent one is aboard instead, and the date it carries."""
    take_turn()
    if component.pk not in away_now([component.pk]):
        raise WorkRefused("component", f"{component.code} is not away, so nothing stands in for it")
    step = AwayStep(step=AwayStep.Step.LENT, whom=whom, serial=serial, good_through=good_through, day=day)
    return _keep(step, component, at, by, client_id)


@transaction.atomic
def back_with_paper(
    tasks: Sequence[Task],
    *,
    day: date,
    paper: str,
    printed: str,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Job:
    """The thing is back: what was done counts from the day on its paper, with the date it now
    carries; WorkRefused where a task goes by the printed date and none is given."""
    take_turn()
    if not tasks:
        raise WorkRefused("tasks", "wanted what was done, at least one")
    component = tasks[0].component
    if not printed and any(task.interval.on_expiry for task in tasks):
        raise WorkRefused("printed", "wanted the date now printed on it")
    if client_id and (known := Job.objects.filter(client_id=client_id).first()):
        return known
    if component.pk not in away_now([component.pk]):
        raise WorkRefused("component", f"{component.code} is not away")
    work = Work(day, tasks, printed={component: printed} if printed else {})
    job = record_work(_boat_of(component), work, at=at, by=by, client_id=client_id)
    _keep(
        AwayStep(step=AwayStep.Step.BACK, day=today_of(_boat_of(component), at), paper=paper, job=job),
        component,
        at,
        by,
        client_id,
    )
    return job


def _boat_of(component: Component) -> Boat:
    stay = Fitting.objects.standing().filter(component=component, removed_on__isnull=True).last()
    if stay is None:
        raise WorkRefused("component", f"{component.code} is not fitted to a boat")
    return stay.boat


def _keep(
    step: AwayStep, component: Component, at: datetime, by: Person | None, client_id: str | None
) -> AwayStep:
    step.component, step.boat = component, _boat_of(component)
    today = today_of(step.boat, at)
    if not SINCE_EVER <= step.day <= today:
        raise WorkRefused("day", f"wanted a day up to today, {today}")
    return enter(step, at=at, by=by, client_id=client_id)
