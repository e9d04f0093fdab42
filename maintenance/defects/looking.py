"""What can be done about a hull: say that she touched, and record a look at her."""

from collections.abc import Sequence
from datetime import date, datetime

from django.db import transaction
from django.db.models import Q

from fleet.bases.turns import take_turn
from fleet.boats.dates import spoken
from fleet.boats.facts import today_of
from fleet.boats.models import SINCE_EVER, Boat
from fleet.charters.models import Charter
from fleet.ledger import enter
from fleet.papers.models import Paper
from fleet.people.models import Person
from fleet.refused import Refused
from maintenance.defects.actions import end_defect
from maintenance.defects.hull import HullLook, HullLookPaper, Touch
from maintenance.defects.models import Defect
from maintenance.defects.rules import NOT_KNOWN, Look, settled


class LookRefused(Refused):
    """A look or a touch that cannot be as given; `field` names what to put right."""


@transaction.atomic
def record_touch(
    boat: Boat,
    *,
    day: date,
    touched: str = NOT_KNOWN,
    bottom: str = NOT_KNOWN,
    force: str = NOT_KNOWN,
    words: str = "",
    reporter: str = "",
    charter: Charter | None = None,
    defect: Defect | None = None,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Touch:
    """Enters a touch in the hull's register, where it stays for life; it holds her until looked at.
    LookRefused names a day to come."""
    _refuse_day(boat, day, at)
    row = Touch(
        boat=boat,
        charter=charter or (defect.charter if defect is not None else None),
        defect=defect,
        day=day,
        touched=touched,
        bottom=bottom,
        force=force,
        words=words,
        reporter=reporter or (defect.reporter if defect is not None else ""),
    )
    return enter(row, at=at, by=by, client_id=client_id)


@transaction.atomic
def record_look(
    boat: Boat,
    *,
    day: date,
    who: str,
    method: str,
    seen: str,
    sound: bool,
    touched: str = NOT_KNOWN,
    touch: Touch | None = None,
    charter: Charter | None = None,
    papers: Sequence[Paper] = (),
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> HullLook:
    """Keeps a look at a hull by a named person; `touched` is what it shows to have taken the touch.

    Of a touch: where she is sound and the method is enough for how she touched, it no longer holds
    her, and what it was reported as has ended with no fault found. LookRefused names what is missing.
    """
    take_turn()
    _refuse_day(boat, day, at)
    for field, said, wanted in (("who", who, "the name of who looked"), ("seen", seen, "what was seen")):
        if not said.strip():
            raise LookRefused(f"{field}: wanted {wanted}")
    if touch is not None and touch.boat_id != boat.pk:
        raise LookRefused(f"touch: wanted one of {boat.name}")
    if touch is not None and day < touch.day:
        raise LookRefused(f"day: wanted {spoken(touch.day)} or later, for she touched then")
    row = HullLook(
        boat=boat,
        charter=charter,
        touch=touch,
        day=day,
        who=who,
        method=method,
        seen=seen,
        sound=sound,
        touched=touched,
    )
    kept = enter(row, at=at, by=by, client_id=client_id)
    for paper in papers:
        HullLookPaper.objects.get_or_create(look=kept, paper=paper)
    if touch is not None and sound and not holds(touch):
        _end(touch, kept, at, by)
    return kept


def holds(touch: Touch) -> bool:
    """Whether a touch holds her still, by the looks there were of it."""
    rows = HullLook.objects.standing().filter(touch=touch).order_by("day", "pk")
    looks = [Look(*row) for row in rows.values_list("day", "method", "sound", "touched")]
    return not settled(touch.day, touch.touched, touch.force, looks)


def _end(touch: Touch, look: HullLook, at: datetime, by: Person | None) -> None:
    """What the touch was reported as ends with it, where nobody said its end otherwise."""
    if touch.defect is None:
        return
    why = f"{look.method}: {look.seen}"[:500]
    case = touch.defect.case
    for defect in Defect.objects.open().filter(Q(pk=case) | Q(first=case)):
        end_defect(defect, step="no fault found", who=look.who, why=why, at=at, by=by)


def _refuse_day(boat: Boat, day: date, at: datetime) -> None:
    today = today_of(boat, at)
    if not SINCE_EVER <= day <= today:
        raise LookRefused(f"day: wanted a day up to today, {spoken(today)}")
