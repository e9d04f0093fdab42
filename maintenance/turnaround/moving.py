"""What can be done with a report that stands on the wrong boat: put it on the right one, and back."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any, cast

from django.db import transaction
from django.db.models import Q

from fleet.bases.turns import take_turn
from fleet.boats.facts import base_of
from fleet.boats.models import Boat
from fleet.ledger import correction
from fleet.people.models import Person
from fleet.refused import TooLate
from maintenance.defects.hull import Touch
from maintenance.defects.models import ENDINGS, Defect, DefectPaper, DefectStep, Deferral
from maintenance.jobs.models import CallOutDefect, PartTaken
from maintenance.turnaround.models import RoundLine

JUDGED = (DefectStep.Step.GRADED, DefectStep.Step.LOOKED, *ENDINGS)


class MoveRefused(TooLate):
    """A report that cannot go to another boat as it stands; the text says what is in the way."""


@transaction.atomic
def move_report(
    defect: Defect, boat: Boat, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Defect:
    """Puts a report on another boat of its base, in its own words and with its photos and its alarm.

    There it begins anew: nobody has looked at it or graded it aboard her, and where it is at is not
    known, for its thing or place was another boat's. MoveRefused where somebody judged it already.
    """
    take_turn()
    if boat.pk == defect.boat_id or base_of(boat, at.date()) != base_of(defect.boat, at.date()):
        raise MoveRefused("boat: wanted another boat of the same base")
    if came_from(defect) is not None:
        raise MoveRefused("boat: it was moved already; move it back first")
    _refuse_judged(defect)
    kept: Defect = correction(
        defect,
        at=at,
        by=by,
        client_id=client_id,
        boat_id=boat.pk,
        first_id=None,
        component_id=None,
        place_id=None,
        hull="",
    )
    for link in DefectPaper.objects.filter(defect=defect.case):
        DefectPaper.objects.get_or_create(defect=kept, paper_id=link.paper_id)
    return kept


@transaction.atomic
def move_back(
    defect: Defect, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Defect:
    """Undoes a move: the report stands where and as it stood before. MoveRefused where it was not
    moved, or somebody judged it since."""
    take_turn()
    before = came_from(defect)
    if before is None:
        raise MoveRefused("boat: it was not moved")
    _refuse_judged(defect)
    row: Defect = correction(
        defect,
        at=at,
        by=by,
        client_id=client_id,
        boat_id=before.boat_id,
        first_id=before.case,
        component_id=before.component_id,
        place_id=before.place_id,
        hull=before.hull,
    )
    return row


def came_from(defect: Defect) -> Defect | None:
    """The report as it stood on the boat it was moved from; None where it stands where it came in."""
    first: Defect = Defect.objects.select_related("replaces__boat").get(pk=defect.case)
    older = cast("Defect | None", first.replaces)
    return older if older is not None and older.boat_id != first.boat_id else None


def _refuse_judged(defect: Defect) -> None:
    """What was said of it aboard one boat must not be lost, nor be taken for said aboard another."""
    case = defect.case
    if defect.same_as_id is not None or Defect.objects.standing().filter(same_as=case).exists():
        raise MoveRefused("boat: it is joined to another report; part them first")
    steps = DefectStep.objects.standing().filter(defect=case, step__in=JUDGED)
    if (step := steps.order_by("pk").last()) is not None:
        raise MoveRefused(
            f"boat: {step.by} said “{step.step}” of it there; take that back first, or say that "
            "no fault was found and report it anew"
        )
    for rows, said in _tied(case):
        if rows.exists():
            raise MoveRefused(f"boat: {said}")


def _tied(case: int) -> Iterator[tuple[Any, str]]:
    """What else of one boat names the report, and what to do about that first."""
    yield Deferral.objects.standing().filter(defect=case), "it is deferred there; take that back first"
    yield Touch.objects.standing().filter(defect=case), "a touch of the ground was kept with it"
    yield CallOutDefect.objects.filter(defect=case), "somebody was called out to her for it"
    taken = PartTaken.objects.standing().filter(Q(lacks=case) | Q(settles=case))
    yield taken, "a part was taken for it"
    yield RoundLine.objects.standing().filter(defect=case), "it was found on her round"
