"""The winter's list of a base's boats, all that waits for it: rows in, frozen facts out."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from fleet.bases.models import Base
from fleet.boats.models import Boat, BoatTerms
from fleet.charters.models import Charter
from maintenance.defects.facts import open_now
from maintenance.defects.hull import HullLook, Touch
from maintenance.defects.models import Defect
from maintenance.defects.rules import ASHORE
from maintenance.planning.dated import audit_of
from maintenance.safety.audit import IN_DATE, Line
from maintenance.servicing.calendar import add_months, season_day
from maintenance.servicing.models import Due

IN_USE, LAY_UP, FITTING_OUT = "in use", "lay-up", "fitting-out"
WATCH = "watch"


@dataclass(frozen=True, slots=True)
class Stands:
    """A boat's state on a day and since when, and the day she is to be laid up from, where booked."""

    state: str = IN_USE
    since: date | None = None
    laid_up_on: date | None = None  # the day the present winter began, through fitting-out too
    layup_on: date | None = None


@dataclass(frozen=True, slots=True)
class Winter:
    """One boat's winter: how she stands, her first charter after it, and what is on its list.

    `tasks` are those of the lay-up only; `season` is due before `until` or in a season that has opened by
    then, `critical` and all other `work` before the end of the first charter; of what was deferred,
    `at_layup` waits for the lay-up itself.
    """

    boat: Boat
    on: date
    stands: Stands
    first: Charter | None
    until: date
    tasks: tuple[Due, ...] = ()
    season: tuple[Due, ...] = ()
    critical: tuple[Due, ...] = ()
    work: tuple[Due, ...] = ()
    at_layup: tuple[Defect, ...] = ()
    deferred: tuple[Defect, ...] = ()
    watches: tuple[Defect, ...] = ()
    ungraded: tuple[Defect, ...] = ()
    others: tuple[Defect, ...] = ()
    touches: tuple[Touch, ...] = ()
    dates: tuple[Line, ...] = ()

    @property
    def due_tasks(self) -> int:
        """Tasks of the lay-up that are due by now: they come again."""
        return sum(1 for due in self.tasks if due.due_on is not None and due.due_on <= self.on)

    @property
    def open(self) -> int:
        """How many things are open on the list."""
        defects = (self.at_layup, self.deferred, self.watches, self.ungraded, self.others)
        lists = (self.season, self.critical, self.work, self.touches, self.dates, *defects)
        return self.due_tasks + sum(len(of) for of in lists)


def winter_of(base: Base, *, on: date, now: datetime, boat: int | None = None) -> list[Winter]:
    """The winter of every boat of a base, by name, or of one; the number of queries does not hang on
    how many there are."""
    ours = Boat.objects.of_base(base.pk, on)
    boats = {b.pk: b for b in (ours if boat is None else ours.filter(pk=boat)).order_by("name", "pk")}
    stands, charters = _stands(boats, on), _charters(boats, on)
    firsts = {pk: _first(stands[pk], charters[pk], on) for pk in boats}
    due, defects, touches = _due(boats, on), _defects(base, boats, on), _touches(boats)
    dates = _dates(base, on, now, boat)
    return [
        _winter(b, on, stands[pk], firsts[pk], due[pk], defects[pk], touches[pk], dates[pk])
        for pk, b in boats.items()
    ]


def _winter(
    boat: Boat,
    on: date,
    stands: Stands,
    first: Charter | None,
    due: list[Due],
    defects: list[Any],
    touches: list[Touch],
    dates: list[Line],
) -> Winter:
    until = _until(stands, first, on)
    season = [d for d in due if d.interval.season_opens and _of_winter(d, stands, until)]
    vital = [d for d in _due_by(_vital_until(stands, first, until, on), due) if d not in season]
    return Winter(
        boat=boat,
        on=on,
        stands=stands,
        first=first,
        until=until,
        tasks=tuple(d for d in due if d.interval.in_lay_up),
        season=tuple(season),
        critical=tuple(d for d in vital if d.interval.critical),
        work=tuple(d for d in vital if not d.interval.critical),
        touches=tuple(touches),
        dates=tuple(dates),
        **_parted(defects),
    )


def _vital_until(stands: Stands, first: Charter | None, until: date, on: date) -> date:
    """Up to which day services without a season are listed: of a boat in use with nothing booked, today."""
    if first is not None:
        return first.ends_on
    return on if stands.state == IN_USE else until


def _due_by(until: date, due: list[Due]) -> list[Due]:
    by_then = [d for d in due if d.overdue or (d.due_on is not None and d.due_on <= until)]
    return [d for d in by_then if not d.interval.in_lay_up]


def _of_winter(due: Due, stands: Stands, until: date) -> bool:
    """Whether a task of a season is to be done by a day; of a boat laid up also where its season opens by
    then, though it closes after her first charter: what goes to the loft goes while she is in."""
    if due.interval.in_lay_up or due.due_on is None:
        return False
    if due.due_on <= until:
        return True
    return stands.state != IN_USE and _opens(due) <= until


def _opens(due: Due) -> date:
    """The day on which the season opens that closes when a task is due."""
    assert due.due_on is not None
    opens, closes = due.interval.season_opens, due.interval.season_closes
    year = due.due_on.year
    return season_day(year - 1 if closes < opens else year, opens)


def _until(stands: Stands, first: Charter | None, on: date) -> date:
    """Up to which day the list looks: the end of the first charter after the winter, else a year on
    from its first day, or from today where it has not begun."""
    if stands.state != IN_USE and first is not None:
        return first.ends_on
    return add_months(stands.laid_up_on or on, 12)


def _first(stands: Stands, charters: list[Charter], on: date) -> Charter | None:
    """The first charter after the winter: from the day a lay-up is booked from, else the next."""
    begins = stands.layup_on or on
    return next((c for c in charters if c.starts_on >= begins), None)


def _parted(defects: list[Any]) -> dict[str, tuple[Any, ...]]:
    """Open defects by why they are on the list, each once."""
    found: dict[str, list[Any]] = {
        name: [] for name in ("at_layup", "deferred", "watches", "ungraded", "others")
    }
    for row in defects:
        found[_part(row)].append(row)
    return {name: tuple(of) for name, of in found.items()}


def _part(row: Any) -> str:
    if row.waits is not None:
        return "at_layup" if row.waits.at_layup else "deferred"
    if not row.grade:
        return "ungraded"
    return "watches" if row.grade == WATCH else "others"


def _stands(boats: Collection[int], on: date) -> dict[int, Stands]:
    rows = BoatTerms.objects.standing().filter(boat__in=boats).order_by("from_on", "pk")
    found = dict.fromkeys(boats, Stands())
    for boat, day, state in rows.values_list("boat_id", "from_on", "state"):
        was = found[boat]
        if day > on:
            if state == LAY_UP and was.state == IN_USE and was.layup_on is None:
                found[boat] = Stands(was.state, was.since, was.laid_up_on, day)
        elif state != was.state:
            began = was.laid_up_on if was.state != IN_USE else day
            found[boat] = Stands(state, day, None if state == IN_USE else began)
    return found


def _charters(boats: Collection[int], on: date) -> dict[int, list[Charter]]:
    found: dict[int, list[Charter]] = defaultdict(list)
    for charter in Charter.objects.next_from(on).filter(boat__in=boats):
        found[charter.boat_id].append(charter)
    return found


def _due(boats: Collection[int], on: date) -> dict[int, list[Due]]:
    rows = Due.objects.filter(boat__in=boats).judged(on)
    found: dict[int, list[Due]] = defaultdict(list)
    for due in rows.select_related("interval", "component__kind").order_by("sort_on", "pk"):
        found[due.boat_id].append(due)
    return found


def _defects(base: Base, boats: Collection[int], on: date) -> dict[int, list[Defect]]:
    found: dict[int, list[Defect]] = defaultdict(list)
    for row in open_now(base, list(boats), on):
        found[row.boat_id].append(row)
    return found


def _touches(boats: Collection[int]) -> dict[int, list[Touch]]:
    """Touches of no look out of the water yet: one afloat lets her go, and shows no keel's structure."""
    looks = HullLook.objects.standing().filter(boat__in=boats, method=ASHORE, touch__isnull=False)
    seen = set(looks.values_list("touch_id", flat=True))
    found: dict[int, list[Touch]] = defaultdict(list)
    for row in Touch.objects.standing().filter(boat__in=boats).order_by("day", "pk"):
        if row.pk not in seen:
            found[row.boat_id].append(row)
    return found


def _dates(base: Base, on: date, now: datetime, boat: int | None) -> dict[int, list[Line]]:
    """Printed dates that do not hold until the end of each boat's next charter."""
    found: dict[int, list[Line]] = defaultdict(list)
    for line in audit_of(base, on=on, now=now, boat=boat).lines:
        if line.state != IN_DATE:
            found[line.thing.boat].append(line)
    return found
