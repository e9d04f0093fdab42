"""What can be done with a defect: report it, answer who reported it, and say how it ended."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Boat, Component, Place
from fleet.charters.models import Charter
from fleet.ledger import enter
from fleet.papers.models import Paper
from fleet.people.models import Person
from fleet.refused import TooLate
from maintenance.defects.models import ENDINGS, Defect, DefectPaper, DefectStep


class DefectEnded(TooLate):
    """A defect that somebody said the end of already, in other words."""


@transaction.atomic
def report_defect(
    boat: Boat,
    *,
    words: str,
    at: datetime,
    by: Person | None = None,
    charter: Charter | None = None,
    reporter: str = "",
    asked: str = Defect.Asked.OWN_WORDS,
    risk_now: bool | None = None,
    place: Place | None = None,
    component: Component | None = None,
    works: str = "",
    papers: Sequence[Paper] = (),
    client_id: str | None = None,
) -> Defect:
    """Keeps what is wrong in the words it was said in, with its photos."""
    defect = Defect(
        boat=boat,
        charter=charter,
        words=words,
        found_at=at,
        reporter=reporter,
        asked=asked,
        risk_now=risk_now,
        place=place,
        component=component,
        works=works,
        client_id=client_id,
    )
    enter(defect, at=at, by=by)
    for paper in papers:
        DefectPaper.objects.get_or_create(defect=defect, paper=paper)
    return defect


@transaction.atomic
def end_defect(
    defect: Defect,
    *,
    step: str,
    who: str,
    why: str = "",
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> DefectStep:
    """Says that a defect was put right, or that no fault was found, and who says so; sent twice it
    is kept once. DefectEnded where it was ended otherwise meanwhile."""
    take_turn()
    said = (step, who, why)
    ended: DefectStep
    for ended in DefectStep.objects.standing().filter(defect=defect, step__in=ENDINGS):
        if (ended.step, ended.by, ended.why) != said:
            raise DefectEnded(f"step: wanted an open defect; {ended.by} said “{ended.step}” already")
        return ended
    said_now = DefectStep(defect=defect, step=step, by=who, why=why)
    return enter(said_now, at=at, by=by, client_id=client_id)


@transaction.atomic
def answer_report(
    defect: Defect,
    *,
    words: str,
    who: str,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> DefectStep:
    """Tells the one who reported it what the base says; the defect stays as open as it was."""
    step = DefectStep(defect=defect, step=DefectStep.Step.ANSWERED, by=who, why=words)
    return enter(step, at=at, by=by, client_id=client_id)
