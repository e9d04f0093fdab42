"""The week of one base: rows in, frozen facts out, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import QuerySet

from fleet.bases.models import Base
from fleet.boats.models import Boat, Fitting
from fleet.charters.models import Charter
from fleet.charters.rules import BACK, LEAVES
from fleet.people.models import Membership
from fleet.people.roles import ENGINEER
from maintenance.defects.facts import open_now
from maintenance.defects.models import Defect
from maintenance.jobs.away import Away, away_from, away_now
from maintenance.planning.planner import DayLoad, Gap, total
from maintenance.planning.taking import Take, takes
from maintenance.servicing.models import Due

AHEAD = 7  # days of leaving the page shows
STRIP_DAYS = 56


@dataclass(frozen=True, slots=True)
class Job:
    """One line of the week with what it takes and where its thing is."""

    due: Due
    take: tuple[Take, ...] = ()
    away: Away | None = None
    position: str = ""
    meter: str = ""

    @property
    def recorded(self) -> bool:
        """What was never recorded stands apart, unless a printed date speaks for itself."""
        return self.due.recorded or self.due.governs == "expiry"


@dataclass(frozen=True, slots=True)
class Visit:
    """A boat ashore: what is to be done, and until when."""

    boat: Boat
    charter: Charter | None
    gap: Gap | None
    jobs: tuple[Job, ...]
    never: tuple[Job, ...]
    defects: tuple[Defect, ...]
    charters: tuple[Charter, ...]
    ticks: tuple[Due, ...]
    workday: int
    on: date
    last: Charter | None = None
    away: tuple[Away, ...] = ()

    @property
    def out(self) -> bool:
        """Whether she is on charter, as far as the days booked go."""
        return self.last is not None and self.last.ends_on > self.on

    @property
    def minutes(self) -> int:
        """Of what is to be done here: a thing that is away takes no minutes."""
        return total(job.due.interval.minutes for job in self.jobs if job.away is None)

    @property
    def longest(self) -> int:
        return max((job.due.interval.minutes or 0 for job in self.jobs if job.away is None), default=0)

    @property
    def fits(self) -> bool:
        return self.gap is None or self.gap.fits(self.longest, self.workday)


@dataclass(frozen=True, slots=True)
class DayOut:
    """A day of leaving, its boats in the order they leave."""

    day: date
    visits: tuple[Visit, ...]
    load: DayLoad

    @property
    def never(self) -> int:
        """Minutes of never-recorded tasks that fall due, which the load leaves out."""
        return total(job.due.interval.minutes for visit in self.visits for job in visit.never)


@dataclass(frozen=True, slots=True)
class Week:
    base: Base
    on: date
    boats: tuple[int, ...]
    days: tuple[DayOut, ...]
    ashore: tuple[Visit, ...]


def week_of(base: Base, on: date) -> Week:
    """What must be done before the boats of a base leave, from a day on."""
    visits = visits_of(base, on)
    until = on + timedelta(days=AHEAD)
    leaving = [v for v in visits if v.charter is not None and v.charter.starts_on <= until]
    ashore = [v for v in visits if v not in leaving and (v.jobs or v.never or v.defects or v.away)]
    return Week(
        base=base,
        on=on,
        boats=tuple(v.boat.pk for v in visits),
        days=_days(base, leaving),
        ashore=tuple(ashore),
    )


def visits_of(base: Base, on: date) -> list[Visit]:
    """Every boat of a base with what is on her list this week, by name."""
    boats = {boat.pk: boat for boat in Boat.objects.of_base(base.pk, on).order_by("name")}
    charters = _charters(boats.keys(), on)
    jobs = _jobs(listed(list(boats), on), on)
    ticks = _ticks(boats.keys(), on)
    defects = _by_boat(open_now(base, list(boats), on))
    away = away_from(boats.keys())
    return [
        _visit(boat, base, on, charters[pk], jobs[pk], defects[pk], ticks[pk], away.get(pk, ()))
        for pk, boat in boats.items()
    ]


def boat_of(base: Base, boat: Boat, on: date) -> Visit:
    """One boat with every line of hers, whenever it falls due."""
    jobs = _jobs(Due.objects.filter(boat=boat).judged(on), on)[boat.pk]
    charters, defects = _charters([boat.pk], on)[boat.pk], _by_boat(open_now(base, [boat.pk], on))[boat.pk]
    away = away_from([boat.pk]).get(boat.pk, ())
    return _visit(boat, base, on, charters, jobs, defects, _ticks([boat.pk], on)[boat.pk], away)


def _visit(
    boat: Boat,
    base: Base,
    on: date,
    charters: Sequence[Charter],
    jobs: Sequence[Job],
    defects: Sequence[Defect],
    ticks: Sequence[Due],
    away: Sequence[Away],
) -> Visit:
    following = next((c for c in charters if c.starts_on >= on), None)
    last = max((c for c in charters if c.starts_on < on), key=lambda c: c.ends_on, default=None)
    return Visit(
        boat=boat,
        charter=following,
        gap=_gap(last, following, on),
        jobs=tuple(job for job in jobs if job.recorded),
        never=tuple(job for job in jobs if not job.recorded),
        defects=tuple(defects),
        charters=tuple(charters),
        ticks=tuple(ticks),
        workday=base.workday_minutes,
        on=on,
        last=last,
        away=tuple(away),
    )


def _gap(last: Charter | None, following: Charter | None, on: date) -> Gap | None:
    if following is None:
        return None
    back = datetime.combine(last.ends_on, last.back_at or BACK) if last else None
    return Gap(back, datetime.combine(following.starts_on, following.leaves_at or LEAVES), on)


def _days(base: Base, visits: Iterable[Visit]) -> tuple[DayOut, ...]:
    by_day: dict[date, list[Visit]] = defaultdict(list)
    for visit in visits:
        if visit.charter is not None:
            by_day[visit.charter.starts_on].append(visit)
    people = _people(base, by_day)
    return tuple(_day(base, day, by_day[day], people[day]) for day in sorted(by_day))


def _day(base: Base, day: date, visits: list[Visit], people: int) -> DayOut:
    ordered = tuple(sorted(visits, key=lambda v: (_leaves(v), v.boat.name)))
    work = total(v.minutes for v in ordered)
    return DayOut(day, ordered, DayLoad(people, base.workday_minutes, len(visits), base.boat_minutes, work))


def _leaves(visit: Visit) -> tuple[bool, datetime | None]:
    leaves = visit.gap.leaves if visit.gap else None
    return leaves is None, leaves


def _people(base: Base, days: Iterable[date]) -> dict[date, int]:
    """How many engineers the base has on each day."""
    terms = Membership.objects.filter(base=base, role=ENGINEER, person__is_active=True)
    rows = list(terms.values_list("person_id", "from_on", "until_on"))
    return {
        day: len({p for p, first, last in rows if first <= day and (last is None or day <= last)})
        for day in days
    }


def _charters(boats: Iterable[int], on: date) -> dict[int, list[Charter]]:
    rows = Charter.objects.booked().filter(
        boat__in=boats, ends_on__gte=on - timedelta(days=28), starts_on__lte=on + timedelta(days=STRIP_DAYS)
    )
    return _by_boat(rows.order_by("starts_on", "pk"))


def listed(boats: Sequence[int], on: date) -> QuerySet[Due]:
    """The lines of the week's list: overdue, due within it, or to be done before the next handover."""
    return Due.objects.filter(boat__in=boats).judged(on).in_list(on + timedelta(days=AHEAD))


def _jobs(rows: QuerySet[Due], on: date) -> dict[int, list[Job]]:
    dues = list(
        rows.select_related("component__kind", "interval").order_by(
            "sort_on", "component__code", "interval__code"
        )
    )
    taken = takes(dues, on=on)
    away = away_now([due.component_id for due in dues])
    where = _where({due.component_id for due in dues})
    jobs: dict[int, list[Job]] = defaultdict(list)
    for due in dues:
        position, meter = where.get(due.component_id, ("", ""))
        jobs[due.boat_id].append(Job(due, taken.get(due.pk, ()), away.get(due.component_id), position, meter))
    return jobs


def _where(components: Collection[int]) -> dict[int, tuple[str, str]]:
    """Where each component is aboard, and the name of its meter."""
    rows = Fitting.objects.standing().filter(component__in=components, removed_on__isnull=True)
    columns = ("component_id", "position", "meter__name")
    return {component: (position, meter or "") for component, position, meter in rows.values_list(*columns)}


def _ticks(boats: Iterable[int], on: date) -> dict[int, list[Due]]:
    rows = Due.objects.filter(boat__in=boats, due_on__lte=on + timedelta(days=STRIP_DAYS)).select_related(
        "component__kind"
    )
    return _by_boat(rows.order_by("due_on", "pk"))


def _by_boat(rows: Iterable) -> dict:
    found: dict[int, list] = defaultdict(list)
    for row in rows:
        found[row.boat_id].append(row)
    return found
