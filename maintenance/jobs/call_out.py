"""What can be done for a boat that is away: take the call, promise, set out, be there, close it."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import TypeVar

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.dates import spoken
from fleet.boats.facts import base_of
from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.ledger import enter, once, take_back
from fleet.people.models import Person
from fleet.refused import Refused, TooLate
from maintenance.defects.actions import end_defect, report_defect
from maintenance.defects.models import Defect
from maintenance.jobs.actions import Work, record_work, refuse_late
from maintenance.jobs.clock import hours_allowed
from maintenance.jobs.contract import contract_clock
from maintenance.jobs.models import CallOut, CallOutDefect, CallOutStep, Job
from maintenance.spares.actions import SpareUsed

R = TypeVar("R", CallOut, CallOutStep)
Step = CallOutStep.Step
CLOSING = (Step.DONE, Step.NOT_NEEDED)
FAR = timedelta(days=60)  # own choice: a moment further off than this is a slip of the finger


class CallOutRefused(Refused):
    """A call-out, or a step of one, that cannot be as said; `field` names what to put right."""


class CallOutClosed(TooLate):
    """A call-out that somebody has closed already."""


@dataclass(frozen=True, slots=True)
class Call:
    """What was told on the telephone: where she lies, whom to ring, when it was told."""

    where: str
    told_at: datetime
    phone: str = ""


def open_call_out(
    boat: Boat,
    call: Call,
    *,
    charter: Charter | None = None,
    defects: Sequence[Defect] = (),
    words: str = "",
    reporter: str = "",
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> CallOut:
    """Opens a call-out for one or several open defects of a boat away; `words` is one nobody wrote down
    yet. The contract's clock runs where the charter is a hire. CallOutRefused names what is missing."""

    def keep() -> CallOut:
        take_turn()
        base = base_of(boat, at.date())
        _refuse_call(boat, base, call, charter, at)
        cases = _cases(boat, defects, words)
        hours = _hours(base, charter)
        row = CallOut(
            boat=boat,
            charter=charter,
            where=call.where.strip(),
            phone=call.phone.strip(),
            told_at=call.told_at,
            hours=hours,
        )
        kept = enter(row, at=at, by=by, client_id=client_id)
        if words.strip():
            told = reporter.strip()
            said = report_defect(boat, words=words.strip(), charter=charter, reporter=told, at=at, by=by)
            cases.append(said.case)
        for case in cases:
            CallOutDefect.objects.create(call_out=kept, defect_id=case)
        return kept

    return once(lambda: _known(CallOut, client_id), keep)


def say_step(
    call_out: CallOut,
    step: str,
    *,
    who: str,
    promised_at: datetime | None = None,
    takes: str = "",
    words: str = "",
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> CallOutStep:
    """Says that it was promised (for when), that somebody is on the way or there, or that nobody need
    go any more; said twice alike it is kept once. CallOutRefused, or CallOutClosed."""
    said = {"who": who.strip(), "takes": takes.strip(), "words": words.strip()}
    row = CallOutStep(call_out=call_out, step=step, promised_at=promised_at, **said)
    return once(lambda: _known(CallOutStep, client_id), lambda: _keep_step(row, at, by, client_id))


def close_call_out(
    call_out: CallOut,
    *,
    who: str,
    words: str = "",
    put_right: Collection[Defect] = (),
    used: Sequence[SpareUsed] = (),
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> CallOutStep:
    """Closes a call-out as done: the defects that were put right end with it, in the same name, and the
    spares used are taken from where they lay. What was not put right stays open."""

    def keep() -> CallOutStep:
        row = CallOutStep(call_out=call_out, step=Step.DONE, who=who.strip(), words=words.strip())
        kept = _keep_step(row, at, by, client_id)
        why = words.strip() or "On a call-out"
        for defect in put_right:
            _refuse_strange(call_out, defect)
            end_defect(defect, step="put right", who=who.strip(), why=why, at=at, by=by)
        if used:
            book_parts(call_out, used, who=who, at=at, by=by)
        return kept

    return once(lambda: _known(CallOutStep, client_id), keep)


def book_parts(
    call_out: CallOut,
    used: Sequence[SpareUsed],
    *,
    who: str,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Job:
    """Takes what was used in the field from the book, then or later; WorkRefused where it cannot be."""
    if not used:
        raise CallOutRefused("used: wanted at least one part and how many")
    today = base_of(call_out.boat, at.date()).day_of(at)
    work = Work(today, (), used=used, who=who.strip())
    return record_work(call_out.boat, work, at=at, by=by, client_id=client_id)


@transaction.atomic
def take_back_last(call_out: CallOut, *, at: datetime, by: Person | None = None) -> CallOutStep | None:
    """Takes the last step back on the day it was said; defects that ended with it stay ended. None
    where no step was said."""
    take_turn()
    last = last_step(call_out)
    if last is not None:
        refuse_late(call_out.boat, last.recorded_at, at)
        take_back(last, at=at, by=by)
    return last


def last_step(call_out: CallOut) -> CallOutStep | None:
    """How a call-out stands: the last that was said of it."""
    row: CallOutStep | None = CallOutStep.objects.standing().filter(call_out=call_out).order_by("pk").last()
    return row


def _known(ledger: type[R], client_id: str | None) -> R | None:
    row: R | None = ledger.objects.filter(client_id=client_id).first() if client_id else None
    return row


def _keep_step(row: CallOutStep, at: datetime, by: Person | None, client_id: str | None) -> CallOutStep:
    take_turn()
    last = last_step(row.call_out)
    if last is not None and _says(last) == _says(row):
        return last
    if last is not None and last.step in CLOSING:
        raise CallOutClosed(f"step: wanted an open call-out; {last.who} said “{last.step}” already")
    _refuse_step(row, at)
    return enter(row, at=at, by=by, client_id=client_id)


def _says(row: CallOutStep) -> tuple[object, ...]:
    return (row.step, row.who, row.promised_at, row.takes, row.words)


def _refuse_step(row: CallOutStep, at: datetime) -> None:
    if row.step not in Step.values:
        raise CallOutRefused(f"step: wanted {', '.join(Step.values)}")
    if not row.who:
        raise CallOutRefused("who: wanted the name of who goes, or who says so")
    if row.step != Step.PROMISED:
        return
    if row.promised_at is None:
        raise CallOutRefused("promised_at: wanted for when it was promised")
    if not row.call_out.told_at <= row.promised_at <= at + FAR:
        raise CallOutRefused("promised_at: wanted a moment after it was told, within two months")


def _refuse_call(boat: Boat, base: Base, call: Call, charter: Charter | None, at: datetime) -> None:
    if not call.where.strip():
        raise CallOutRefused("where: wanted where she lies, as said on the telephone")
    if not at - FAR <= call.told_at <= at:
        raise CallOutRefused("told_at: wanted a moment up to now, within the last two months")
    if charter is None:
        return
    told = base.day_of(call.told_at)
    if charter.boat_id != boat.pk or charter.cancelled_at is not None:
        raise CallOutRefused(f"charter: wanted a charter of {boat.name}")
    if not charter.starts_on <= told <= charter.ends_on:
        raise CallOutRefused(f"charter: wanted one that had her on {spoken(told)}, or none")


def _hours(base: Base, charter: Charter | None) -> int | None:
    """The contract's hours; an own trip or a delivery has no client and no clock."""
    if charter is None or charter.sort != Charter.Sort.HIRE:
        return None
    return hours_allowed((charter.ends_on - charter.starts_on).days, contract_clock(base))


def _cases(boat: Boat, defects: Sequence[Defect], words: str) -> list[int]:
    """The cases a boat is gone out to for, each once; CallOutRefused for one that cannot be."""
    cases = list(dict.fromkeys(defect.case for defect in defects))
    ours = {row.case for row in Defect.objects.open().filter(boat=boat)}
    if not set(cases) <= ours:
        raise CallOutRefused(f"defects: wanted open defects of {boat.name}")
    if not cases and not words.strip():
        raise CallOutRefused("defects: wanted at least one, or what is wrong in a few words")
    closed = CallOutStep.objects.standing().filter(step__in=CLOSING).values("call_out")
    there = CallOutDefect.objects.filter(defect__in=cases, call_out__void=False).exclude(call_out__in=closed)
    if there.exists():
        raise CallOutRefused("defects: wanted those that have no call-out open yet; add a step to that one")
    return cases


def _refuse_strange(call_out: CallOut, defect: Defect) -> None:
    if not call_out.defects.filter(defect=defect.case).exists():
        raise CallOutRefused("put_right: wanted defects of this call-out; end others on their own pages")
