"""The way out of each thing that holds a boat, taken by one person on site with nobody else there."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from fleet.boats.models import Boat, Component
from fleet.charters.models import Charter
from fleet.ledger import latest
from fleet.refused import Refused
from maintenance.defects.actions import add_papers, end_defect, look_at
from maintenance.defects.deferring import Until, extend_deferral
from maintenance.defects.hull import Touch
from maintenance.defects.looking import record_look
from maintenance.defects.models import Defect, DefectStep, Deferral
from maintenance.defects.rules import UNSAFE
from maintenance.jobs.actions import Task, Work, record_work
from maintenance.jobs.refitting import NewPlace, fit_part
from maintenance.release.actions import Name, lift_hold, release_boat
from maintenance.release.facts import Judged
from maintenance.release.known import LAY_UP
from maintenance.release.laying_up import begin_fitting_out, sign_fitting_out, state_on
from maintenance.release.models import Hold, Release
from maintenance.release.rule_list import ALARM, DEFERRAL, GEAR, NAMED, PAPER, READY, SERVICE, TOUCH, TWO
from maintenance.release.rules import Reason
from maintenance.safety.models import Requirement
from maintenance.servicing.models import ServiceInterval
from tests import factories as make

WHO = "Rasmo Quell"
SAID: dict[str, Any] = {"who": WHO}


@dataclass(frozen=True)
class Here:
    """Who is there, with which boat, and when."""

    boat: Boat
    at: datetime
    today: date


def settle(reason: Reason, here: Here) -> None:
    """Does what the reason's way out says, as far as it is something to do."""
    WAYS[reason.code](reason, here)


def release_alone(judged: Judged, charter: Charter, keys: Iterable[str], at: datetime) -> Release:
    """The release by one person, of what still holds her to a limit."""
    let_be = list(keys)
    told = {"limits": "By day, in sight of the coast", "why": "The part comes on Monday"} if let_be else {}
    return release_boat(judged.boat, charter, [Name(WHO)], let_be=let_be, at=at, **told)


def _parts(reason: Reason) -> list[str]:
    return reason.key.split(":")[1:]


def _row(reason: Reason) -> Defect:
    return Defect.objects.standing().get(pk=reason.row)


def _look(reason: Reason, here: Here) -> None:
    look_at(_row(reason), seen="Nothing hot, nothing smells", nothing=True, at=here.at, **SAID)


def _put_right(reason: Reason, here: Here) -> None:
    end_defect(_row(reason), step="put right", at=here.at, **SAID)


def _lift(reason: Reason, here: Here) -> None:
    hold = Hold.objects.get(pk=_parts(reason)[0])
    lift_hold(hold, why="The surveyor was there", at=here.at, **SAID)


def _ashore(reason: Reason, here: Here) -> None:
    """Out of the water, which settles any touch; a look of none follows one that found her not sound."""
    key = _parts(reason)[0]
    touch = Touch.objects.get(pk=key) if key.isdigit() else None
    said = {"day": here.today, "method": "ashore", "seen": "Keel and rudder dry, no crack", "sound": True}
    record_look(here.boat, touch=touch, at=here.at, **said, **SAID)


def _one_of_two(reason: Reason, here: Here) -> None:
    step = DefectStep.objects.get(pk=_parts(reason)[0].split("+")[0])
    end_defect(latest(step.defect), step="put right", at=here.at, **SAID)


def _extend(reason: Reason, here: Here) -> None:
    """Once longer with a reason; where it was longer once already, it is put right."""
    row = Deferral.objects.standing().get(pk=_parts(reason)[1])
    try:
        until = Until(day=here.today + timedelta(days=60))
        extend_deferral(row, until, why="The part is late", at=here.at, **SAID)
    except Refused:
        _put_right(reason, here)


def _serve(reason: Reason, here: Here) -> None:
    component, interval, _ = _parts(reason)
    task = Task(Component.objects.get(pk=component), ServiceInterval.objects.get(pk=interval))
    record_work(here.boat, Work(here.today, [task], who=WHO), at=here.at)


def _bring_aboard(reason: Reason, here: Here) -> None:
    kind = Requirement.objects.get(pk=_parts(reason)[0]).kind
    fit_part(make.ComponentFactory(kind=kind), NewPlace(here.boat), on=here.today, at=here.at)


def _sign(reason: Reason, here: Here) -> None:
    if state_on(here.boat, here.today) == LAY_UP:
        begin_fitting_out(here.boat, here.today, at=here.at)
    sign_fitting_out(here.boat, WHO, on=here.today, at=here.at)


def _paper(reason: Reason, here: Here) -> None:
    add_papers(DefectStep.objects.get(pk=_parts(reason)[0]), [make.PaperFactory()])


WAYS: dict[str, Callable[[Reason, Here], None]] = {
    ALARM: _look,
    UNSAFE: _put_right,
    NAMED: _lift,
    TOUCH: _ashore,
    TWO: _one_of_two,
    DEFERRAL: _extend,
    SERVICE: _serve,
    GEAR: _bring_aboard,
    READY: _sign,
    PAPER: _paper,
}
