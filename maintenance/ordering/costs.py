"""What parts cost: a service by its list, a boat and a season by what was used. Rows in, sums out."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q

from fleet.bases.models import Base
from fleet.boats.models import Boat, Fitting, Place
from maintenance.jobs.models import Job, JobMove
from maintenance.ordering.money import Asks, Cost, Money, added, cost_of, price_of
from maintenance.ordering.prices import prices_of
from maintenance.servicing.models import Due, IntervalSpare, Service, ServiceInterval
from maintenance.spares.models import Spare, StockMove


@dataclass(frozen=True, slots=True)
class Part:
    """So much of a part used on a day, on which boat (None: nobody said) and for which job."""

    move: StockMove
    boat: int | None
    job: Job | None
    each: Money | None

    @property
    def cost(self) -> Money | None:
        return None if self.each is None else Money(self.each.amount * self.move.quantity, self.each.currency)


def parts_used(base: Base, boats: Collection[int], *, since: date, until: date) -> list[Part]:
    """What was used from a base's stores and aboard its boats from a day to another, both counted, each
    at the price in force that day; four queries. A part used for a job is its boat's, another the
    boat's it lay aboard of."""
    places = Place.objects.filter(Q(base=base) | Q(boat__in=boats))
    rows = StockMove.objects.standing().filter(why="used", from_place__in=places.values("pk"))
    rows = rows.filter(day__gte=since, day__lte=until).select_related("spare", "from_place", "replaces")
    moves = list(rows.order_by("day", "pk"))
    jobs = _jobs(moves)
    prices = prices_of({move.spare_id for move in moves}, base=base.pk)
    return [_part(move, jobs.get(move.pk), prices.get(move.spare_id, ())) for move in moves]


def _part(move: StockMove, job: Job | None, asks: Collection[Asks]) -> Part:
    aboard = move.from_place.boat_id if move.from_place is not None else None
    each = price_of(list(asks), on=move.day, quantity=move.quantity)
    return Part(move, job.boat_id if job is not None else aboard, job, each)


def _jobs(moves: Iterable[StockMove]) -> dict[int, Job]:
    """The job each move is for; a move put right since keeps the job it was first kept for."""
    firsts = {move.pk: move.replaces_id or move.pk for move in moves}
    rows = JobMove.objects.filter(move__in={*firsts.keys(), *firsts.values()}).select_related("job")
    jobs = {row.move_id: row.job for row in rows}
    found = {key: jobs.get(key) or jobs.get(first) for key, first in firsts.items()}
    return {key: job for key, job in found.items() if job is not None}


def cost_by_boat(parts: Iterable[Part]) -> dict[int | None, Cost]:
    """What each boat's parts cost together; None: those nobody said a boat of."""
    found: dict[int | None, list[Part]] = defaultdict(list)
    for part in parts:
        found[part.boat].append(part)
    return {boat: cost_of_parts(of) for boat, of in found.items()}


def cost_of_parts(parts: Collection[Part]) -> Cost:
    """What parts cost together; one without a price counts once, however often it was used."""
    unknown = {part.move.spare_id for part in parts if part.cost is None}
    return Cost(tuple(added(part.cost for part in parts if part.cost is not None)), len(unknown))


@dataclass(frozen=True, slots=True)
class TaskLine:
    """So much of a part that a task takes, and what one of them costs."""

    spare: Spare
    quantity: Decimal
    each: Money | None


@dataclass(frozen=True, slots=True)
class TaskCost:
    """A task with the parts of its list; `of` is the kind of thing it is done on, or the one thing."""

    task: str
    of: str
    lines: tuple[TaskLine, ...]

    @property
    def cost(self) -> Cost:
        """What its parts cost, done once."""
        return cost_of((line.quantity, line.each) for line in self.lines)


def cost_of_services(boats: Collection[int], *, base: Base, on: date) -> list[TaskCost]:
    """What the parts of each task on these boats' due list cost on a day, of those that take any; in
    the order of their kinds. Three queries."""
    listed = Due.objects.filter(boat__in=boats).values("interval")
    rows = IntervalSpare.objects.filter(interval__in=listed).order_by("spare__name", "pk")
    rows = rows.select_related("spare", "interval__kind", "interval__component__kind")
    prices = prices_of({row.spare_id for row in rows}, base=base.pk)
    found: dict[ServiceInterval, list[TaskLine]] = defaultdict(list)
    for row in rows:
        each = price_of(prices.get(row.spare_id, ()), on=on, quantity=row.quantity)
        found[row.interval].append(TaskLine(row.spare, row.quantity, each))
    tasks = [TaskCost(interval.task, _of(interval), tuple(lines)) for interval, lines in found.items()]
    return sorted(tasks, key=lambda one: (one.of, one.task))


def _of(interval: ServiceInterval) -> str:
    if interval.kind is not None:
        return interval.kind.name
    return f"{interval.component.kind.name}, {interval.component}" if interval.component is not None else ""


@dataclass(frozen=True, slots=True)
class WorkDone:
    """A task that was done on a day, the kind of thing it was done on, and where aboard that was."""

    day: date
    task: str
    kind: str
    position: str


def work_of(boat: Boat, *, since: date, until: date) -> list[WorkDone]:
    """The tasks done on the things aboard a boat from a day to another, both counted, the first first;
    a day from which somebody only began to count is no work. Two queries."""
    fittings = Fitting.objects.standing().filter(boat=boat).select_related("meter")
    aboard: dict[int, list[Fitting]] = defaultdict(list)
    for fitting in fittings.order_by("fitted_on", "pk"):
        aboard[fitting.component_id].append(fitting)
    rows = Service.objects.standing().filter(component__in=aboard, counting=False)
    rows = rows.filter(done_on__gte=since, done_on__lte=until).order_by("done_on", "pk")
    return [
        WorkDone(row.done_on, row.interval.task, row.component.kind.name, _where(fitting))
        for row in rows.select_related("interval", "component__kind")
        if (fitting := _fitted(aboard[row.component_id], row.done_on)) is not None
    ]


def _fitted(fittings: Iterable[Fitting], on: date) -> Fitting | None:
    there = (f for f in fittings if f.fitted_on <= on and (f.removed_on is None or on < f.removed_on))
    return next(there, None)


def _where(fitting: Fitting) -> str:
    """Its position, or else the engine whose hours it runs by where there are several."""
    meter = fitting.meter.name if fitting.meter is not None and fitting.meter.name != "main" else ""
    return fitting.position or meter
