"""What can be done with a report that was taken down wrong: say it right, or take it back."""

from datetime import datetime
from typing import Any, cast

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.ledger import correction, take_back
from fleet.people.models import Person
from fleet.refused import Refused
from maintenance.defects.actions import DefectEnded
from maintenance.defects.alarm import sort_of
from maintenance.defects.models import ENDINGS, Defect, DefectStep
from maintenance.defects.rules import UNSAFE


class JoinRefused(Refused):
    """Two reports that cannot be said to be of one thing."""


@transaction.atomic
def correct_defect(
    defect: Defect, *, at: datetime, by: Person | None = None, client_id: str | None = None, **changed: Any
) -> Defect:
    """Puts a row in place of a report's, the same but for what changed; never the words. DefectEnded
    where somebody said the end of it already: the row that said so would stand beside the wrong one."""
    take_turn()
    _refuse_ended(defect)
    kept = changed | {"first_id": defect.case}
    row: Defect = correction(defect, at=at, by=by, client_id=client_id, **kept)
    return row


@transaction.atomic
def join_defect(
    double: Defect,
    main: Defect,
    *,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Defect:
    """Says that two reports are of one thing: both are kept, and the one joined goes as the other
    goes. JoinRefused where they are not of one boat, or the other is joined to a third."""
    take_turn()
    if double.boat_id != main.boat_id:
        raise JoinRefused("same_as: wanted a report of the same boat")
    if double.case == main.case or main.same_as_id is not None:
        raise JoinRefused("same_as: wanted another report that is not joined to one itself")
    _refuse_ended(double)
    _refuse_ended(main)
    if Defect.objects.standing().filter(same_as=double.case).exists():
        raise JoinRefused("same_as: wanted a report that no other is joined to; join it the other way round")
    _refuse_hidden(double, main)
    return correct_defect(double, at=at, by=by, client_id=client_id, same_as_id=main.case)


@transaction.atomic
def part_defect(
    double: Defect, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Defect:
    """Says that a report joined to another is of a thing of its own after all: it is open again by
    itself. JoinRefused where it is joined to none."""
    take_turn()
    if double.same_as_id is None:
        raise JoinRefused("It is joined to no other report")
    return correct_defect(double, at=at, by=by, client_id=client_id, same_as_id=None)


@transaction.atomic
def void_defect(
    defect: Defect, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Defect:
    """Takes a report back: what it stood for stands again, or nothing does. DefectEnded where somebody
    has graded it, or where an alarm it raised was not looked at: then its end is said by name."""
    take_turn()
    _refuse_ended(defect)
    _refuse_judged(defect)
    before = cast("Defect | None", defect.replaces)
    first = None if before is None else before.case  # one moved here goes back to where it came from
    row: Defect = take_back(defect, at=at, by=by, client_id=client_id, first_id=first)
    return row


@transaction.atomic
def take_back_step(
    step: DefectStep, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> DefectStep:
    """Takes back an answer, or an end: the defect is open again."""
    take_turn()
    row: DefectStep = take_back(step, at=at, by=by, client_id=client_id)
    return row


def _refuse_ended(defect: Defect) -> None:
    for step in DefectStep.objects.standing().filter(defect=defect.case, step__in=ENDINGS):
        raise DefectEnded(
            f"It has ended, {step.by} said “{step.step}” (step {step.pk}): take that back first"
        )


def _refuse_judged(defect: Defect) -> None:
    row = Defect.objects.judged().get(pk=defect.pk)
    if row.grade and defect.replaces_id is None:
        raise DefectEnded(f"void: {row.graded_by} graded it; say that no fault was found instead")
    if Defect.objects.not_looked_at().filter(pk=defect.pk).exists():
        raise DefectEnded("void: it raised an alarm nobody has looked at; look, and say what was seen")


def _refuse_hidden(double: Defect, main: Defect) -> None:
    """What is joined is no more judged by itself: its alarm or its grade must not go under."""
    waiting = set(
        Defect.objects.not_looked_at().filter(pk__in=[double.pk, main.pk]).values_list("pk", flat=True)
    )
    if double.pk in waiting and main.pk not in waiting:
        raise JoinRefused("same_as: it raised an alarm of its own; look at it first")
    if double.pk in waiting and double.alarm and sort_of(double.alarm) != sort_of(main.alarm):
        raise JoinRefused(
            "same_as: it raised an alarm of another danger than the other; look at it first, on its own"
        )
    grades = dict(Defect.objects.judged().filter(pk__in=[double.pk, main.pk]).values_list("pk", "grade"))
    if grades[double.pk] == UNSAFE and grades[main.pk] != UNSAFE:
        raise JoinRefused("same_as: it is graded unsafe and the other is not; grade the other first")
