"""The facts that hold boats: rows in, a frozen ship for each out, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from fleet.bases.models import Base
from fleet.boats.models import Boat, BoatTerms
from fleet.charters.models import Charter
from maintenance.defects.facts import deferrals_aboard, laid_up, waits_of
from maintenance.defects.hull import HullLook, Touch
from maintenance.defects.models import Defect, Deferral
from maintenance.defects.rules import Look, Waits
from maintenance.jobs.away import away_on
from maintenance.planning.gear import asked_of, lacking_of
from maintenance.release import known
from maintenance.release.arisen import arisen_of, opened_of, settled_of, steps_of
from maintenance.release.known import Ship
from maintenance.release.models import Hold
from maintenance.release.ready import ready_of
from maintenance.servicing.models import Due

LOOKED_BACK = timedelta(days=30)  # own choice: what counts as settled lately where no charter went out


def ships_of(
    base: Base, boats: Mapping[int, Boat], trips: Mapping[int, Charter], *, on: date, now: datetime
) -> dict[int, Ship]:
    """What is known of boats on a day, as far as holding them goes."""
    gone = _went_out(boats, on)
    out = {pk: [day for day, _ in went] for pk, went in gone.items()}
    since = {pk: _since(base, gone.get(pk, ()), on) for pk in boats}
    states, layups = _states(boats, on)
    defects = _defects(base, boats, out, on)
    touches, critical = _touches(boats), _critical(boats, on)
    asked = asked_of(base, boats, trips, on=on, now=now)
    kept, ready = _kept(boats), ready_of(boats, on)
    steps = steps_of(boats)
    opened, ended = opened_of(steps), settled_of(steps, since, touches)
    arisen = arisen_of(boats, steps, out, trips, on)
    return {
        pk: Ship(
            boat=pk,
            name=boat.name,
            on=on,
            state=states.get(pk, known.IN_USE),
            ready=ready[pk],
            layup_on=layups.get(pk),
            defects=tuple(defects[pk]),
            touches=tuple(touches[pk]),
            critical=tuple(critical[pk]),
            short=lacking_of(asked.get(pk, ())),
            by_no_list=bool(asked.get(pk)) and not any(a.adopted for a in asked[pk]),
            kept=tuple(kept[pk]),
            opened=tuple(opened[pk]),
            settled=frozenset(ended[pk]),
            arisen=tuple(arisen[pk]),
        )
        for pk, boat in boats.items()
    }


Went = tuple[date, time]


def _went_out(boats: Collection[int], on: date) -> dict[int, list[Went]]:
    """The days on which charters of each boat went out before a day, in order, each with its hour by
    the base's clock: the day's beginning where no hour was given."""
    rows = Charter.objects.booked().filter(boat__in=boats, starts_on__lt=on).order_by("starts_on")
    found: dict[int, list[Went]] = defaultdict(list)
    for boat, day, leaves_at in rows.values_list("boat_id", "starts_on", "leaves_at"):
        found[boat].append((day, leaves_at or time(0)))
    return found


def last_out(base: Base, boats: Collection[int], on: date) -> dict[int, datetime]:
    """From when on what was settled counts for each boat's next release."""
    gone = _went_out(boats, on)
    return {pk: _since(base, gone.get(pk, ()), on) for pk in boats}


def _since(base: Base, gone: Collection[Went], on: date) -> datetime:
    """From when on what was settled counts for the next release: since she last went out."""
    day, hour = max(gone, default=(on - LOOKED_BACK, time(0)))
    return datetime.combine(day, hour, ZoneInfo(base.timezone))


def _states(boats: Collection[int], on: date) -> tuple[dict[int, str], dict[int, date]]:
    """Each boat's state on a day, and the day from which she is to be laid up, where that is to come."""
    states: dict[int, str] = {}
    layups: dict[int, date] = {}
    rows = BoatTerms.objects.standing().filter(boat__in=boats).order_by("from_on", "pk")
    for boat, from_on, state in rows.values_list("boat_id", "from_on", "state"):
        if from_on <= on:
            states[boat] = state
        elif state == known.LAY_UP:
            layups.setdefault(boat, from_on)
    return states, layups


def _defects(
    base: Base, boats: Collection[int], out: Mapping[int, list[date]], on: date
) -> dict[int, list[known.OpenDefect]]:
    rows = list(
        Defect.objects.open().judged().filter(boat__in=boats).order_by("pk").select_related("component")
    )
    alarmed = set(Defect.objects.not_looked_at().filter(boat__in=boats).values_list("pk", flat=True))
    waiting, laid = deferrals_aboard(boats), laid_up(boats, on)
    found: dict[int, list[known.OpenDefect]] = defaultdict(list)
    for row in rows:
        deferral = waiting.get(row.case)
        found[row.boat_id].append(
            known.OpenDefect(
                case=row.case,
                words=row.words,
                grade=row.grade,
                step=row.graded_step or 0,
                function=row.function,
                unlooked=row.pk in alarmed,
                raised=row.happening_step or 0,
                waits=_waits(deferral, out, laid) if deferral is not None else None,
                limit=deferral.limit_text if deferral is not None else "",
                inoperative=deferral.made_inoperative if deferral is not None else "",
                found_on=base.day_of(row.found_at),
                row=row.pk,
                works=row.works,
            )
        )
    return found


def _waits(deferral: Deferral, out: Mapping[int, list[date]], laid: Mapping[int, list[date]]) -> Waits:
    boat = deferral.defect.boat_id
    return waits_of(deferral, out.get(boat, ()), laid.get(boat, ()))


Seen = tuple[int, datetime, Look]


def _touches(boats: Collection[int]) -> dict[int, list[known.Touched]]:
    """Every touch with the looks at it, and every look of no touch that found her not sound with
    those that came after it."""
    looks: dict[tuple[int, int | None], list[Seen]] = defaultdict(list)
    rows = HullLook.objects.standing().filter(boat__in=boats).order_by("day", "pk")
    columns = ("boat_id", "touch_id", "pk", "recorded_at", "day", "method", "sound", "touched", "seen")
    for boat, touch, pk, at, *look in rows.values_list(*columns):
        looks[boat, touch].append((pk, at, Look(*look)))
    found: dict[int, list[known.Touched]] = defaultdict(list)
    for row in Touch.objects.standing().filter(boat__in=boats).order_by("day", "pk"):
        of_touch = looks[row.boat_id, row.pk]
        said = (str(row.pk), row.day, row.touched, row.force, tuple(look for _, _, look in of_touch))
        found[row.boat_id].append(known.Touched(*said, looked_at=tuple(at for _, at, _ in of_touch)))
    for (boat, touch), of_boat in looks.items():
        if touch is None:
            found[boat] += _not_sound(of_boat)
    return found


def _not_sound(looks: Sequence[Seen]) -> Iterator[known.Touched]:
    for n, (pk, _, look) in enumerate(looks):
        if not look.sound:
            after, times = [], []
            for _, at, later in looks[n + 1 :]:
                after.append(later)
                times.append(at)
            said = (f"look {pk}", look.day, "", "", tuple(after))
            yield known.Touched(*said, found=True, looked_at=tuple(times), seen=look.seen)


def _critical(boats: Collection[int], on: date) -> dict[int, list[known.Critical]]:
    """The critical tasks of each boat; of a thing sent away with a lent one aboard, the date on that."""
    lent = {component: away.lent for component, away in away_on(boats, on).items()}
    rows = Due.objects.filter(boat__in=boats, interval__critical=True).judged(on)
    found: dict[int, list[known.Critical]] = defaultdict(list)
    for due in rows.select_related("interval", "component__kind").order_by("sort_on", "pk"):
        stands_in = lent.get(due.component_id)
        good = stands_in.good_through if stands_in is not None else None
        found[due.boat_id].append(
            known.Critical(
                component=due.component_id,
                interval=due.interval_id,
                task=due.interval.task,
                thing=due.component.kind.name,
                limit_on=good or due.limit_on,
                overdue=good < on if good is not None else due.overdue,
                recorded=due.recorded or due.governs == "expiry",
            )
        )
    return found


def _kept(boats: Collection[int]) -> dict[int, list[known.Kept]]:
    found: dict[int, list[known.Kept]] = defaultdict(list)
    for row in Hold.objects.standing().filter(boat__in=boats, lifted="").order_by("pk"):
        found[row.boat_id].append(known.Kept(row.pk, row.why, row.by))
    return found
