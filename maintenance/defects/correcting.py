"""What can be done with a report that was taken down wrong: say it right, or take it back."""

from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.ledger import correction, take_back
from fleet.people.models import Person
from maintenance.defects.actions import DefectEnded
from maintenance.defects.models import ENDINGS, Defect, DefectStep


@transaction.atomic
def correct_defect(
    defect: Defect, *, at: datetime, by: Person | None = None, client_id: str | None = None, **changed: Any
) -> Defect:
    """Puts a row in place of a report's, the same but for what changed; never the words. DefectEnded
    where somebody said the end of it already: the row that said so would stand beside the wrong one."""
    take_turn()
    _refuse_ended(defect)
    row: Defect = correction(defect, at=at, by=by, client_id=client_id, **changed)
    return row


@transaction.atomic
def void_defect(
    defect: Defect, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Defect:
    """Takes a report back: what it stood for stands again, or nothing does."""
    take_turn()
    _refuse_ended(defect)
    row: Defect = take_back(defect, at=at, by=by, client_id=client_id)
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
    for step in DefectStep.objects.standing().filter(defect=defect, step__in=ENDINGS):
        raise DefectEnded(
            f"It has ended, {step.by} said “{step.step}” (step {step.pk}): take that back first"
        )
