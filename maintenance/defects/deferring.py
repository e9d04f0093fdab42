"""What can be done about a defect that waits: defer it with its limit, extend it once, take it back."""

from datetime import date, datetime

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.dates import spoken
from fleet.boats.facts import base_of
from fleet.ledger import correction, enter, latest
from fleet.people.models import Person
from fleet.refused import Refused
from maintenance.defects.actions import DefectEnded
from maintenance.defects.models import ENDINGS, Defect, DefectStep, Deferral
from maintenance.defects.rules import UNSAFE
from maintenance.defects.until import Until as Until


class DeferralRefused(Refused):
    """A deferral that cannot be as asked; `field` names what to put right."""


@transaction.atomic
def defer_defect(
    defect: Defect,
    until: Until,
    *,
    who: str,
    limit: str = "",
    inoperative: str = "",
    why: str = "",
    dangerous: bool = False,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Deferral:
    """Lets a graded defect wait, with what the next skipper is told.

    DeferralRefused where it is not graded or unsafe, where it would never end, where using the thing
    is `dangerous` and how it was made inoperative is not said, where it waits already, or where as
    many of the boat wait as the base lets wait together; DefectEnded where it has ended.
    """
    take_turn()
    row, base = _judged(defect), base_of(defect.boat, at.date())
    today = base.day_of(at)
    _refuse_end(defect)
    _refuse(row, until, who, limit, inoperative, dangerous, today)
    if (there := _in_force(defect)) is not None:
        raise DeferralRefused(f"It waits already, as {there.by} decided: extend that, or take it back")
    if waiting(defect.boat_id) >= base.deferred_at_once:
        raise DeferralRefused(
            f"{defect.boat.name} has {base.deferred_at_once} deferred already, the most that may wait "
            "together: put one of them right"
        )
    return _enter(defect, until, today, who, limit, inoperative, why, at, by, client_id, None)


@transaction.atomic
def extend_deferral(
    deferral: Deferral,
    until: Until,
    *,
    who: str,
    why: str,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Deferral:
    """Lengthens a deferral, once, with a reason; what the skipper is told stays. DeferralRefused."""
    take_turn()
    defect = deferral.defect
    today = base_of(defect.boat, at.date()).day_of(at)
    _refuse_end(defect)
    if deferral.extends_id is not None or Deferral.objects.standing().filter(extends=deferral).exists():
        raise DeferralRefused("It was extended once already: put it right, or grade it again and decide")
    if not why.strip():
        raise DeferralRefused("why: wanted the reason why it waits longer")
    _refuse(_judged(defect), until, who, deferral.limit_text, deferral.made_inoperative, False, today)
    told = (deferral.limit_text, deferral.made_inoperative)
    return _enter(defect, until, today, who, *told, why, at, by, client_id, _free(deferral, at, by))


def _free(deferral: Deferral, at: datetime, by: Person | None) -> Deferral:
    """The deferral to extend. One whose extension was taken back is named by that for ever: a row that
    says the same stands for it."""
    if not Deferral.objects.filter(extends=deferral).exists():
        return deferral
    row: Deferral = correction(deferral, at=at, by=by)
    return row


@transaction.atomic
def take_back_deferral(
    deferral: Deferral, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Deferral:
    """Takes a deferral, or its extension, back: the defect waits no more, or as long as before."""
    take_turn()
    last: Deferral = latest(deferral)
    if last.void:
        return last
    row: Deferral = correction(last, at=at, by=by, client_id=client_id, void=True, extends_id=None)
    return row


def waiting(boat: int) -> int:
    """How many open defects of a boat are deferred."""
    cases = Deferral.objects.standing().values("defect")
    rows = Defect.objects.open().filter(boat=boat)
    found = {row.case for row in rows} & set(cases.filter(defect__boat=boat).values_list("defect", flat=True))
    return len(found)


def _in_force(defect: Defect) -> Deferral | None:
    row: Deferral | None = Deferral.objects.standing().filter(defect=defect.case).order_by("pk").last()
    return row


def _judged(defect: Defect) -> Defect:
    row: Defect = Defect.objects.judged().get(pk=defect.pk)
    return row


def _refuse_end(defect: Defect) -> None:
    for step in DefectStep.objects.standing().filter(defect=defect.case, step__in=ENDINGS):
        raise DefectEnded(f"step: wanted an open defect; {step.by} said “{step.step}” already")


def _refuse(
    row: Defect, until: Until, who: str, limit: str, inoperative: str, dangerous: bool, today: date
) -> None:
    grade: str = getattr(row, "grade", "")
    if not grade:
        raise DeferralRefused("grade: wanted its grade first: what is not graded is not deferred")
    if grade == UNSAFE:
        raise DeferralRefused(
            "grade: an unsafe defect is not deferred; put it right, or make it inoperative and grade it again"
        )
    if not who.strip():
        raise DeferralRefused("who: wanted the name of who decides it")
    if until == Until():
        raise DeferralRefused("until: wanted a day, so many charters, or the lay-up")
    if until.day is not None and until.day < today:
        raise DeferralRefused(f"until_on: wanted {spoken(today)} or later")
    if until.charters is not None and not 0 <= until.charters <= 99:
        raise DeferralRefused("max_charters: wanted 0 to 99")
    if grade == "limits use" and not limit.strip():
        raise DeferralRefused("limit_text: wanted what the next skipper is told, in plain words")
    if dangerous and not inoperative.strip():
        raise DeferralRefused("made_inoperative: wanted how it was made so that nobody can use it")


def _enter(
    defect: Defect,
    until: Until,
    today: date,
    who: str,
    limit: str,
    inoperative: str,
    why: str,
    at: datetime,
    by: Person | None,
    client_id: str | None,
    extends: Deferral | None,
) -> Deferral:
    row = Deferral(
        defect_id=defect.case,
        decided_on=today,
        until_on=until.day,
        max_charters=until.charters,
        at_layup=until.layup,
        limit_text=limit,
        made_inoperative=inoperative,
        extends=extends,
        by=who,
        why=why,
    )
    return enter(row, at=at, by=by, client_id=client_id)
