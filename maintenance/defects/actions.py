"""What can be done with a defect: report it, answer who reported it, look, grade, and say how it ended."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Boat, Component, Place
from fleet.charters.models import Charter
from fleet.ledger import enter
from fleet.papers.models import Paper
from fleet.people.models import Person
from fleet.refused import Refused, TooLate
from maintenance.defects.facts import words_of_alarm
from maintenance.defects.models import ENDINGS, Defect, DefectPaper, DefectStep, StepPaper
from maintenance.defects.rules import GRADES

LINE = 200  # letters of another report's words that name it in a step


class DefectEnded(TooLate):
    """A defect that somebody said the end of already, in other words."""


class GradeRefused(Refused):
    """A grade that cannot be given; `field` names what to put right."""


@transaction.atomic
def report_defect(
    boat: Boat,
    *,
    words: str,
    own_words: str | None = None,
    at: datetime,
    found_at: datetime | None = None,
    language: str = "",
    by: Person | None = None,
    charter: Charter | None = None,
    reporter: str = "",
    asked: str = Defect.Asked.OWN_WORDS,
    risk_now: bool | None = None,
    place: Place | None = None,
    component: Component | None = None,
    hull: str = "",
    works: str = "",
    papers: Sequence[Paper] = (),
    client_id: str | None = None,
) -> Defect:
    """Keeps what is wrong in the words it was said in, with its photos; a word of alarm in them raises
    it, whatever else was ticked. `own_words` is what the reporter wrote of `words`, where a page put
    something below: a place or a part chosen from a list raises nothing. `found_at` is when it was
    written, where that was before it came in."""
    defect = Defect(
        boat=boat,
        charter=charter,
        words=words,
        language=language,
        found_at=found_at or at,
        reporter=reporter,
        asked=asked,
        risk_now=risk_now,
        place=place,
        component=component,
        hull=hull,
        works=works,
        alarm=words_of_alarm(boat, words if own_words is None else own_words, on=at),
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
    opened: str = "",
    papers: Sequence[Paper] = (),
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> DefectStep:
    """Says that a defect was put right, or that no fault was found, and who says so; sent twice it
    is kept once. `opened` is what was taken apart for it that a paper is wanted of. DefectEnded where
    it was ended otherwise meanwhile."""
    take_turn()
    if (ended := _ended(defect)) is not None:
        if (ended.step, ended.by, ended.why) != (step, who, why):
            raise DefectEnded(f"step: wanted an open defect; {ended.by} said “{ended.step}” already")
        return ended
    return _step(defect, step, who, why, at, by, client_id, papers=papers, opened=opened)


@transaction.atomic
def add_papers(step: DefectStep, papers: Sequence[Paper]) -> None:
    """Adds photos or certificates to what was done about a defect, which may come in later."""
    for paper in papers:
        StepPaper.objects.get_or_create(step=step, paper=paper)


@transaction.atomic
def grade_defect(
    defect: Defect,
    *,
    grade: str,
    who: str,
    function: str = "",
    why: str = "",
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> DefectStep:
    """Says how bad a defect is, and who says so; the last grade holds. `function` is what it touches
    (charging, bilge ...), where its thing does not say. GradeRefused, or DefectEnded."""
    take_turn()
    _refuse_ended(defect)
    if grade not in GRADES:
        raise GradeRefused(f"grade: wanted {', '.join(GRADES)}")
    if not who.strip():
        raise GradeRefused("who: wanted the name of who grades it")
    return _step(defect, DefectStep.Step.GRADED, who, why, at, by, client_id, grade=grade, function=function)


@transaction.atomic
def look_at(
    defect: Defect,
    *,
    who: str,
    seen: str,
    nothing: bool,
    papers: Sequence[Paper] = (),
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> DefectStep:
    """That a named person looked after an alarm, and what was seen; where there was nothing the defect
    has ended with no fault found, and leaves no hold. DefectEnded where it had ended already."""
    take_turn()
    _refuse_ended(defect)
    if not who.strip() or not seen.strip():
        field = "seen" if who.strip() else "who"
        raise GradeRefused(
            f"{field}: wanted {'what was seen' if field == 'seen' else 'the name of who looked'}"
        )
    step = _step(defect, DefectStep.Step.LOOKED, who, seen, at, by, client_id, papers=papers)
    if nothing:
        _step(defect, DefectStep.Step.NO_FAULT_FOUND, who, seen, at, by, None)
    return step


@transaction.atomic
def say_if_happening(
    defect: Defect,
    *,
    happening: bool,
    who: str = "",
    words: str = "",
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> DefectStep:
    """What the sender answers to “is it happening now?”; a yes wants a look, also after an earlier one.
    `words` say more than yes or no: that it never was."""
    step = DefectStep.Step.HAPPENING if happening else DefectStep.Step.STOPPED
    return _step(defect, step, who or defect.reporter or "the sender", words, at, by, client_id)


def _step(
    defect: Defect,
    step: str,
    who: str,
    why: str,
    at: datetime,
    by: Person | None,
    client_id: str | None,
    papers: Sequence[Paper] = (),
    **more: str,
) -> DefectStep:
    """A step of a defect; it stays with the report as it first came in."""
    row = DefectStep(defect_id=defect.case, step=step, by=who, why=why, **more)
    kept = enter(row, at=at, by=by, client_id=client_id)
    for paper in papers:
        StepPaper.objects.get_or_create(step=kept, paper=paper)
    return kept


def _ended(defect: Defect) -> DefectStep | None:
    rows = DefectStep.objects.standing().filter(defect=defect.case, step__in=ENDINGS)
    ended: DefectStep | None = rows.first()
    return ended


def _refuse_ended(defect: Defect) -> None:
    if (ended := _ended(defect)) is not None:
        raise DefectEnded(f"step: wanted an open defect; {ended.by} said “{ended.step}” already")


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
    return _step(defect, DefectStep.Step.ANSWERED, who, words, at, by, client_id)


@transaction.atomic
def see_report(
    defect: Defect, *, who: str, at: datetime, by: Person | None = None, client_id: str | None = None
) -> DefectStep:
    """That somebody of the base has read a report, which tells its sender so; the first time is kept."""
    take_turn()
    rows = DefectStep.objects.standing().filter(defect=defect.case, step=DefectStep.Step.SEEN)
    seen: DefectStep | None = rows.order_by("pk").first()
    return seen or _step(defect, DefectStep.Step.SEEN, who, "", at, by, client_id)


@transaction.atomic
def say_two_things(
    defect: Defect, other: Defect, *, who: str, at: datetime, by: Person | None = None
) -> DefectStep:
    """That somebody has seen two reports side by side and they are of two things: the report is no more
    offered to be joined. Said twice it is kept once."""
    take_turn()
    why = another_than(other)
    rows = DefectStep.objects.standing().filter(defect=defect.case, step=DefectStep.Step.SEEN, why=why)
    said: DefectStep | None = rows.order_by("pk").first()
    return said or _step(defect, DefectStep.Step.SEEN, who, why, at, by, None)


def another_than(other: Defect) -> str:
    """What a step says that keeps a report apart from another one."""
    line = " ".join(other.words.split())
    return f"another thing than “{line[:LINE]}”"
