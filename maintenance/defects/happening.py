"""“Is it happening now?”: which reports ask it, and the one answer each gets."""

from collections.abc import Collection
from datetime import datetime

from django.db.models import Exists, OuterRef, Q
from django.db.models.functions import Coalesce

from fleet.bases.turns import take_turn
from fleet.ledger import once
from fleet.people.models import Person
from maintenance.defects.actions import say_if_happening
from maintenance.defects.models import Defect, DefectQuerySet, DefectStep

NEVER = "It never was: the words mean something else"  # kept with “not any more”
ANSWERS = (DefectStep.Step.HAPPENING, DefectStep.Step.STOPPED)


def asks(cases: Collection[int]) -> DefectQuerySet:
    """Those of these reports whose words raised the alarm, whose sender did not say danger and has not
    answered yet, and that nobody looked at or ended meanwhile; the latest first."""
    settled = DefectStep.objects.standing().filter(
        defect=Coalesce(OuterRef("first"), OuterRef("pk")), step__in=(*ANSWERS, DefectStep.Step.LOOKED)
    )
    rows = Defect.objects.open().filter(Q(pk__in=cases) | Q(first__in=cases), ~Q(alarm=""))
    found: DefectQuerySet = rows.exclude(risk_now=True).exclude(Exists(settled)).order_by("-pk")
    return found


def answer_once(
    defect: Defect, *, happening: bool, who: str = "", words: str = "", at: datetime, by: Person | None = None
) -> tuple[DefectStep, bool]:
    """Keeps what the sender answers, and whether this was it: the first answer stands."""

    def known() -> DefectStep | None:
        rows = DefectStep.objects.standing().filter(defect=defect.case, step__in=ANSWERS)
        first: DefectStep | None = rows.order_by("pk").first()
        return first

    def keep() -> tuple[DefectStep, bool]:
        take_turn()
        if (there := known()) is not None:
            return there, False
        return say_if_happening(defect, happening=happening, who=who, words=words, at=at, by=by), True

    return once(lambda: None, keep)
