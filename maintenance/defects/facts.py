"""What is open on boats, with what stands beside the words."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime
from typing import Any

from django.db.models import Count, OuterRef, Subquery
from django.db.models.functions import Coalesce

from fleet.bases.models import Base
from fleet.boats.facts import base_of
from fleet.boats.models import Boat, BoatTerms, Fitting
from fleet.charters.models import Charter
from maintenance.defects.alarm import raised_by
from maintenance.defects.models import AlarmWord, Defect, DefectPaper, DefectQuerySet, Deferral
from maintenance.defects.rules import Came, Waits, again


def open_defects(boats: Iterable[int]) -> DefectQuerySet:
    """Open defects of boats in the order they were found, graded and looked at as they stand; each
    knows how many `photos` it has and the `position` of the thing it names."""
    stays = Fitting.objects.standing().filter(component=OuterRef("component"), removed_on__isnull=True)
    case = Coalesce(OuterRef("first"), OuterRef("pk"))
    photos = DefectPaper.objects.filter(defect=case).order_by().values("defect").annotate(n=Count("pk"))
    rows = Defect.objects.open().judged().filter(boat__in=boats)
    rows = rows.select_related("place__parent", "component__kind")
    beside = {
        "photos": Coalesce(Subquery(photos.values("n")[:1]), 0),
        "position": Subquery(stays.values("position")[:1]),
    }
    found: DefectQuerySet = rows.annotate(**beside).order_by("found_at", "pk")
    return found


def unlooked(row: Defect) -> bool:
    """Whether a judged report raised an alarm and nobody has looked since."""
    judged: Any = row
    if not (row.alarm or row.risk_now or judged.happening_step):
        return False
    return judged.looked_step is None or (judged.happening_step or 0) > judged.looked_step


def open_now(base: Base, boats: Collection[int], on: date) -> list[Defect]:
    """Open defects of a base's boats as `open_defects` has them; each knows as well the base's day it was
    `found_on`, how it `waits`, the `deferral` that says so, and the earlier reports it comes up `again`
    after; at most five queries more."""
    rows: list[Any] = list(open_defects(boats))
    waiting = deferrals_aboard(boats)
    wait = {row.boat_id for row in rows if row.case in waiting}
    out, laid = went_out(wait, on), laid_up(wait, on)
    came = came_up_of(base, {row.boat_id for row in rows if at_of(row)})
    for row in rows:
        row.deferral = waiting.get(row.case)
        row.waits = waits_of(row.deferral, out[row.boat_id], laid[row.boat_id]) if row.deferral else None
        row.again = earlier(row, came[row.boat_id])
        row.found_on = base.day_of(row.found_at)
    return rows


def went_out(boats: Collection[int], on: date) -> dict[int, list[date]]:
    """The days before a day on which charters of each boat went out."""
    rows = Charter.objects.booked().filter(boat__in=boats, starts_on__lt=on)
    found: dict[int, list[date]] = defaultdict(list)
    for boat, day in rows.values_list("boat_id", "starts_on"):
        found[boat].append(day)
    return found


def earlier(row: Defect, came: Sequence[Came]) -> list[Came]:
    """Earlier reports that one comes up again after."""
    own = next((each for each in came if each.key == row.case), None)
    return again(own, came) if own is not None else []


def words_of_alarm(boat: Boat, words: str, *, on: datetime) -> str:
    """The word of a report that raises the alarm at the boat's base; blank where none does."""
    base = base_of(boat, on.date())
    rows = list(AlarmWord.objects.filter(base=base).values_list("sort", "phrase"))
    alarms = [phrase for sort, phrase in rows if sort == AlarmWord.Sort.ALARM]
    harmless = [phrase for sort, phrase in rows if sort == AlarmWord.Sort.HARMLESS]
    return raised_by(words, alarms=alarms, harmless=harmless)


def deferrals_of(cases: Collection[int]) -> dict[int, Deferral]:
    """The deferral each defect last got, by its case; one that was extended is not it."""
    rows = Deferral.objects.standing().filter(defect__in=cases).select_related("defect").order_by("pk")
    return {row.defect_id: row for row in rows}


def deferrals_aboard(boats: Collection[int]) -> dict[int, Deferral]:
    """The same of every defect of boats, ended ones too: one query, whatever is open."""
    rows = Deferral.objects.standing().filter(defect__boat__in=boats).order_by("pk")
    return {row.defect_id: row for row in rows}


def waits_of(deferral: Deferral, out: Collection[date], laid: Collection[date] = ()) -> Waits:
    """A deferral as its clock goes; `out` are the days on which the boat's charters went out so far,
    `laid` those on which she was laid up: those of the day it was decided on, and since, are counted."""
    gone = sum(1 for day in out if day >= deferral.decided_on)
    wintered = any(day >= deferral.decided_on for day in laid)
    return Waits(deferral.until_on, deferral.max_charters, deferral.at_layup, gone, deferral.pk, wintered)


def laid_up(boats: Collection[int], on: date) -> dict[int, list[date]]:
    """The days up to a day on which lay-ups of each boat began."""
    rows = BoatTerms.objects.standing().filter(boat__in=boats, state=BoatTerms.State.LAY_UP, from_on__lte=on)
    found: dict[int, list[date]] = defaultdict(list)
    for boat, day in rows.values_list("boat_id", "from_on"):
        found[boat].append(day)
    return found


def came_up_of(base: Base, boats: Collection[int]) -> dict[int, list[Came]]:
    """Every report of a base's boats, by boat: the thing or the place it is at, its day, the charter it
    came in; two queries."""
    charters = Charter.objects.booked().filter(boat__in=boats).order_by("starts_on", "pk")
    places_in_row: dict[int, dict[int, int]] = defaultdict(dict)
    for boat, pk in charters.values_list("boat_id", "pk"):
        places_in_row[boat][pk] = len(places_in_row[boat])
    found: dict[int, list[Came]] = defaultdict(list)
    rows = Defect.objects.standing().filter(boat__in=boats, same_as__isnull=True).defer("words")
    for row in rows:
        place = places_in_row[row.boat_id].get(row.charter_id or 0)
        found[row.boat_id].append(Came(row.case, at_of(row), base.day_of(row.found_at), place))
    return found


def at_of(row: Defect) -> str:
    """The thing or the place of a report, as coming up again goes; blank where neither is named."""
    thing = f"component {row.component_id}" if row.component_id else ""
    place = f"place {row.place_id}" if row.place_id else ""
    return thing or (f"hull {row.hull}" if row.hull else place)
