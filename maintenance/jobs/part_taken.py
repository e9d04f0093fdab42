"""A part taken from one boat for another, in one go: what the donor then lacks is a defect of hers."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Q

from fleet.boats.dates import spoken
from fleet.boats.facts import today_of
from fleet.boats.models import Boat, Component, Fitting, Kind, Meter
from fleet.ledger import correction, enter, once
from fleet.people.models import Person
from fleet.refused import Refused
from maintenance.defects.actions import end_defect, grade_defect, look_at, report_defect
from maintenance.defects.correcting import take_back_step, void_defect
from maintenance.defects.models import Defect, DefectStep
from maintenance.defects.rules import FUNCTIONS, GRADES, LIMITS_USE, UNSAFE
from maintenance.jobs.actions import refuse_late
from maintenance.jobs.away import away_now
from maintenance.jobs.models import PartTaken
from maintenance.jobs.refitting import NewPlace, move_part, present_stay, remove_part, undo_stay
from maintenance.servicing.following import due_list_follows
from maintenance.servicing.models import ServiceInterval

PUT_RIGHT = DefectStep.Step.PUT_RIGHT


class TakingRefused(Refused):
    """A part that cannot be taken as asked; `field` names what to put right."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a boat needs a part for: the broken one it stands in for, the defect it puts right."""

    broken: Component | None = None
    settles: Defect | None = None


def grade_without(kind: Kind, component: Component | None = None) -> str:
    """How bad it is for a boat to be without a thing of this kind: unsafe where two such things hold
    a boat, where a critical task is on it, or where it must carry a date; else it limits use."""
    of = Q(kind=kind) if component is None else Q(kind=kind) | Q(component=component)
    critical = ServiceInterval.objects.filter(of, critical=True).exists()
    return UNSAFE if kind.function in FUNCTIONS or critical or kind.date_required else LIMITS_USE


def take_part(
    component: Component,
    to_boat: Boat,
    *,
    wanted: Wanted = Wanted(),
    who: str,
    grade: str = "",
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> PartTaken:
    """Takes a part off the boat it is on and fits it to another, with its history and hours.

    The donor gets a defect, graded at once (`grade`, else as `grade_without` has it); the broken one
    comes off the other boat, and what it `settles` there is put right, all in one name. TakingRefused,
    FittingRefused or DefectEnded name what cannot be, and nothing is kept.
    """

    def known() -> PartTaken | None:
        row: PartTaken | None = PartTaken.objects.filter(client_id=client_id).first() if client_id else None
        return row

    def keep() -> PartTaken:
        stay = present_stay(component)
        with due_list_follows([stay.boat_id, to_boat.pk], at=at):
            return _take(present_stay(component), to_boat, wanted, who.strip(), grade, at, by, client_id)

    return once(known, keep)


def take_back_part(taken: PartTaken, *, at: datetime, by: Person | None = None) -> PartTaken:
    """Undoes the whole on the day it was said: the part goes home, the broken one is back in its place,
    the donor's defect is taken back, the other's is open again. TooLate where something rests on it."""
    if taken.void or hasattr(taken, "replaced_by"):
        return taken
    refuse_late(taken.to_boat, taken.recorded_at, at)
    with due_list_follows([taken.from_boat_id, taken.to_boat_id], at=at):
        for stay in _stays_of(taken):
            undo_stay(stay, at=at, by=by)
        for step in _steps_of(taken):
            take_back_step(step, at=at, by=by)
        gone = void_defect(taken.lacks, at=at, by=by)
        # A row names its defect alone, so the one that takes it back names the defect's own.
        row: PartTaken = correction(taken, at=at, by=by, void=True, lacks_id=gone.pk)
    return row


def _take(
    stay: Fitting,
    to_boat: Boat,
    wanted: Wanted,
    who: str,
    grade: str,
    at: datetime,
    by: Person | None,
    client_id: str | None,
) -> PartTaken:
    day, part = today_of(to_boat, at), stay.component
    _refuse(stay, to_boat, wanted, who, grade)
    old = _take_off(wanted.broken, to_boat, stay, day, at, by)
    place = NewPlace(to_boat, _meter(stay, old, to_boat), (old or stay).position)
    move_part(part, place, on=day, why=f"taken for {to_boat.name} by {who}"[:200], at=at, by=by)
    if wanted.settles is not None:
        why = f"{_named(stay)} of {stay.boat.name} ({part.code}) fitted"
        end_defect(wanted.settles, step=PUT_RIGHT, who=who, why=why, at=at, by=by)
    row = PartTaken(
        component=part,
        from_boat=stay.boat,
        to_boat=to_boat,
        day=day,
        lacks=_lacks(stay, to_boat, who, grade, day, at, by),
        settles_id=wanted.settles.case if wanted.settles is not None else None,
    )
    return enter(row, at=at, by=by, client_id=client_id)


def _refuse(stay: Fitting, to_boat: Boat, wanted: Wanted, who: str, grade: str) -> None:
    if not who:
        raise TakingRefused("who: wanted the name of who takes it")
    if grade and grade not in GRADES:
        raise TakingRefused(f"grade: wanted {', '.join(GRADES)}")
    if stay.boat_id == to_boat.pk:
        raise TakingRefused(f"component: wanted a part of another boat; it is on {to_boat.name} already")
    if wanted.settles is not None and wanted.settles.boat_id != to_boat.pk:
        raise TakingRefused(f"settles: wanted a defect of {to_boat.name}")
    if wanted.broken is not None and wanted.broken.kind_id != stay.component.kind_id:
        raise TakingRefused(f"component: wanted the same kind of thing, {wanted.broken.kind.name}")
    if stay.component_id in away_now([stay.component_id]):
        raise TakingRefused("component: wanted one that is aboard; that one is away")


def _take_off(
    broken: Component | None, boat: Boat, stay: Fitting, day: date, at: datetime, by: Person | None
) -> Fitting | None:
    """Takes the broken one off where it is still fitted, so that two are not there; where it was."""
    if broken is None:
        return None
    old = Fitting.objects.standing().filter(component=broken, boat=boat, removed_on__isnull=True).last()
    if old is not None:
        why = f"in its place: {stay.component.code} of {stay.boat.name}"[:200]
        remove_part(broken, on=day, why=why, at=at, by=by)
        removed: Fitting = old
        return removed
    stays = Fitting.objects.standing().filter(component=broken, boat=boat)
    last: Fitting | None = stays.order_by("fitted_on", "pk").last()
    return last


def _meter(stay: Fitting, old: Fitting | None, to_boat: Boat) -> Meter | None:
    """The broken one's meter; else the one of the same name, or her only one, where the part ran on one."""
    if old is not None:
        return old.meter
    if stay.meter is None:
        return None
    meters = list(Meter.objects.filter(boat=to_boat))
    same = [meter for meter in meters if meter.name == stay.meter.name]
    return next(iter(same or (meters if len(meters) == 1 else [])), None)


def _lacks(
    stay: Fitting, to_boat: Boat, who: str, grade: str, day: date, at: datetime, by: Person | None
) -> Defect:
    """The donor's defect, graded; an alarm that the thing's own name raises is looked at with it."""
    kind = stay.component.kind
    words = f"{_named(stay)}: taken for {to_boat.name} on {spoken(day)}"
    defect = report_defect(stay.boat, words=words, reporter=who, at=at, by=by)
    if defect.alarm:
        look_at(defect, who=who, seen="It was taken out, nothing else", nothing=False, at=at, by=by)
    how_bad = grade or grade_without(kind, stay.component)
    grade_defect(defect, grade=how_bad, who=who, function=kind.function, at=at, by=by)
    return defect


def _named(stay: Fitting) -> str:
    kind = stay.component.kind.name
    return f"{kind}, {stay.position}" if stay.position else kind


def _stays_of(taken: PartTaken) -> Sequence[Fitting]:
    """The stays that were written with it, the last one first: fitted here, taken off there, and the
    broken one taken off."""
    rows = Fitting.objects.standing().filter(recorded_at=taken.recorded_at)
    of = Q(component=taken.component) | Q(boat=taken.to_boat, removed_on=taken.day)
    return list(rows.filter(of).order_by("-pk"))


def _steps_of(taken: PartTaken) -> Sequence[DefectStep]:
    """What was said with it: the donor's grade (and look), and that the other's defect was put right."""
    rows = DefectStep.objects.standing().filter(recorded_at=taken.recorded_at)
    said = Q(defect=taken.lacks_id, step__in=(DefectStep.Step.GRADED, DefectStep.Step.LOOKED))
    ended = Q(defect=taken.settles_id, step=PUT_RIGHT)
    return list(rows.filter(said | ended).order_by("-pk"))
