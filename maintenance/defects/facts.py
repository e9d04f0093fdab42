"""What is open on boats, with what stands beside the words."""

from collections.abc import Collection, Iterable
from datetime import date, datetime

from django.db.models import Count, OuterRef, Subquery
from django.db.models.functions import Coalesce

from fleet.boats.facts import base_of
from fleet.boats.models import Boat, Fitting
from fleet.charters.models import Charter
from maintenance.defects.alarm import raised_by
from maintenance.defects.models import AlarmWord, Defect, DefectPaper, DefectQuerySet, Deferral
from maintenance.defects.rules import Came, Waits


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


def words_of_alarm(boat: Boat, words: str, *, on: datetime) -> str:
    """The word of a report that raises the alarm at the boat's base; blank where none does."""
    base = base_of(boat, on.date())
    rows = list(AlarmWord.objects.filter(base=base).values_list("sort", "phrase"))
    alarms = [phrase for sort, phrase in rows if sort == AlarmWord.Sort.ALARM]
    harmless = [phrase for sort, phrase in rows if sort == AlarmWord.Sort.HARMLESS]
    return raised_by(words, alarms=alarms, harmless=harmless)


def deferrals_of(cases: Collection[int]) -> dict[int, Deferral]:
    """The deferral each defect last got, by its case; one that was extended is not it."""
    rows = Deferral.objects.standing().filter(defect__in=cases).order_by("pk")
    return {row.defect_id: row for row in rows}


def waits_of(deferral: Deferral, out: Collection[date]) -> Waits:
    """A deferral as its clock goes; `out` are the days on which the boat's charters went out so far:
    those of the day it was decided on, and since, are counted."""
    gone = sum(1 for day in out if day >= deferral.decided_on)
    return Waits(deferral.until_on, deferral.max_charters, deferral.at_layup, gone, deferral.pk)


def came_up(boat: int) -> list[Came]:
    """Every report of a boat by the thing or the place it is at, with the charter it came in."""
    charters = Charter.objects.booked().filter(boat=boat).order_by("starts_on", "pk")
    place_in_row = {pk: n for n, pk in enumerate(charters.values_list("pk", flat=True))}
    rows = Defect.objects.standing().filter(boat=boat, same_as__isnull=True)
    return [_came(row, place_in_row) for row in rows.select_related("boat")]


def _came(row: Defect, place_in_row: dict[int, int]) -> Came:
    thing = f"component {row.component_id}" if row.component_id else ""
    place = f"place {row.place_id}" if row.place_id else ""
    at = thing or (f"hull {row.hull}" if row.hull else place)
    return Came(row.case, at, row.found_at.date(), place_in_row.get(row.charter_id or 0))
