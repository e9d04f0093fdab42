"""What can be done with one round: walk it in parts, sign it, take it back."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.facts import base_of
from fleet.boats.models import Boat, Component
from fleet.charters.models import Charter
from fleet.ledger import correction, enter, latest, take_back
from fleet.people.models import Person
from maintenance.defects.actions import report_defect
from maintenance.defects.models import Defect, DefectStep, Deferral
from maintenance.jobs.actions import refuse_late
from maintenance.turnaround.facts import turn_of
from maintenance.turnaround.models import Round, RoundItem, RoundLine
from maintenance.turnaround.round import RoundRefused, items_of, start_with_usual

MOST_NOTE = 300


@dataclass(frozen=True, slots=True)
class Tick:
    """What one check came to; `seen` is the state and note that stood when it was ticked, so that what
    somebody else said meanwhile is not written over (None: not asked)."""

    item: RoundItem
    state: str
    note: str = ""
    seen: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True)
class Walked:
    """The round after a part of it was walked: checks that somebody else answered otherwise meanwhile,
    and defects of lines in order now that stay, for somebody has dealt with them."""

    round: Round
    clashed: tuple[RoundItem, ...] = ()
    stays: tuple[Defect, ...] = ()


@transaction.atomic
def walk(
    boat: Boat,
    ticks: Sequence[Tick],
    *,
    at: datetime,
    by: Person | None = None,
    charter: Charter | None = None,
    anew: bool = False,
    client_id: str | None = None,
) -> Walked:
    """Keeps what is ticked of a boat's round so far, beginning it where nobody has; a base without a
    check gets the usual ones. `anew` begins another after one that is signed, which counts until then.

    What fails becomes a defect, once; a line put back in order within the day takes its defect back,
    unless somebody has dealt with it since. RoundRefused where the round is signed, or a check is
    not one of hers.
    """
    take_turn()
    base = base_of(boat, at.date())
    on = base.day_of(at)
    start_with_usual(base)
    _refuse(ticks, items_of(boat, base, on))
    turn = turn_of(boat, on, charter)
    if turn.begun is None and turn.signed is not None and not anew:
        raise RoundRefused(f"It is signed, by {turn.signed.signed_by}: take the signature back first")
    walked = turn.begun or enter(Round(boat=boat, charter=charter, day=on), at=at, by=by, client_id=client_id)
    lines = lines_of(walked)
    clashed = tuple(t.item for t in ticks if _clashes(t, lines.get(t.item.pk)))
    stays: list[Defect] = []
    for tick in ticks:
        if tick.item not in clashed:
            stays += _keep(walked, tick, lines.get(tick.item.pk), base, at, by)
    return Walked(walked, clashed, tuple(stays))


@transaction.atomic
def sign_round(
    boat: Boat,
    *,
    who: str,
    at: datetime,
    by: Person | None = None,
    charter: Charter | None = None,
    client_id: str | None = None,
) -> Round:
    """Signs the round of a boat's turnaround by name. RoundRefused names what has no answer yet."""
    take_turn()
    base = base_of(boat, at.date())
    on = base.day_of(at)
    turn = turn_of(boat, on, charter)
    if turn.begun is None and turn.signed is not None:
        raise RoundRefused(f"It is signed already, by {turn.signed.signed_by}")
    lines = lines_of(turn.begun) if turn.begun is not None else {}
    asked = items_of(boat, base, on)
    if missing := [item.words for item in asked if item.pk not in lines]:
        raise RoundRefused(f"lines: wanted an answer to each check; there is none to {'; '.join(missing)}")
    if turn.begun is None or not asked:
        raise RoundRefused("lines: wanted a round with at least one check")
    if not who.strip():
        raise RoundRefused("who: wanted the name of who signs it")
    signed = {"signed_by": who.strip(), "day": on}
    row: Round = correction(turn.begun, at=at, by=by, client_id=client_id, **signed)
    return row


@transaction.atomic
def take_back_round(row: Round, *, at: datetime, by: Person | None = None) -> Round:
    """Takes a signature back, so that the round is walked on; of a round that is not signed, all of it
    with the defects it opened. TooLateToTakeBack after the day."""
    take_turn()
    last: Round = latest(row)
    refuse_late(row.boat, last.recorded_at, at)
    signed = bool(last.signed_by) or last.void
    for line in () if signed else lines_of(last).values():
        _withdraw(_defects(line), base_of(row.boat, at.date()), at, by)
    undone: Round = take_back(last if signed else opened(last), at=at, by=by)
    return undone


def opened(row: Round) -> Round:
    """The round as it was first opened: lines stay with that one."""
    first: Any = row
    while first.replaces is not None:
        first = first.replaces
    found: Round = first
    return found


def lines_of(row: Round) -> dict[int, RoundLine]:
    """What each check came to so far, by its key; lines of a check keep the name they were given."""
    rows = RoundLine.objects.standing().filter(round=opened(row)).select_related("item", "recorded_by")
    return {line.item_id: line for line in rows.order_by("item__number", "item_id")}


def defects_of(row: Round) -> dict[int, Defect]:
    """The defect each check came to in a round, by the check's key, as it is kept now; one taken back
    is none."""
    first = RoundLine.objects.filter(round=opened(row), defect__isnull=False)
    found = {line.item_id: latest(line.defect) for line in first.order_by("pk").select_related("defect")}
    return {item: defect for item, defect in found.items() if not defect.void}


def _refuse(ticks: Iterable[Tick], asked: Iterable[RoundItem]) -> None:
    ours = {item.pk for item in asked}
    for tick in ticks:
        if tick.item.pk not in ours:
            raise RoundRefused(f"lines: {tick.item.words} is no check of this boat's round")
        if tick.state not in RoundLine.State.values:
            raise RoundRefused(f"lines: {tick.item.words}: wanted {', '.join(RoundLine.State.values)}")
        if len(tick.note) > MOST_NOTE:
            raise RoundRefused(f"lines: {tick.item.words}: wanted a note of up to {MOST_NOTE} letters")


def _clashes(tick: Tick, line: RoundLine | None) -> bool:
    there = (line.state, line.note) if line is not None else ("", "")
    return tick.seen is not None and there not in (tick.seen, (tick.state, tick.note.strip()))


def _keep(
    walked: Round, tick: Tick, was: RoundLine | None, base: Base, at: datetime, by: Person | None
) -> list[Defect]:
    """Keeps one tick where it says something new; the defects that stay open all the same."""
    state, note = tick.state, tick.note.strip()
    if was is not None and (was.state, was.note) == (state, note):
        return []
    stays = _withdraw(_defects(was), base, at, by) if was is not None else []
    defect = _report(walked, tick, at, by) if _is_wrong(tick.item, state) else None
    said: dict[str, Any] = {
        "words": tick.item.words,
        "state": state,
        "note": note,
        "defect_id": defect and defect.pk,
    }
    if was is not None:
        correction(was, at=at, by=by, **said)
    else:
        enter(RoundLine(round=opened(walked), item=tick.item, **said), at=at, by=by)
    return [] if defect is not None else stays


def _is_wrong(item: RoundItem, state: str) -> bool:
    """A broken seal is no defect: the kit is counted."""
    return state == RoundLine.State.FAILS and item.asks != RoundItem.Asks.SEAL


def _report(walked: Round, tick: Tick, at: datetime, by: Person | None) -> Defect:
    note = tick.note.strip()
    words = f"Round: {tick.item.words}" + (f": {note}" if note else "")
    thing = _thing(walked.boat, tick.item.function)
    return report_defect(
        walked.boat, words=words, at=at, by=by, component=thing, reporter=by.name if by is not None else ""
    )


def _thing(boat: Boat, function: str) -> Component | None:
    """The one thing aboard that does what a check touches, so that its defect touches it too."""
    fitted = {"fittings__boat": boat, "fittings__removed_on__isnull": True, "kind__function": function}
    standing = {"fittings__void": False, "fittings__replaced_by__isnull": True}
    rows = list(Component.objects.filter(**fitted, **standing).distinct()[:2]) if function else []
    return rows[0] if len(rows) == 1 else None


def _defects(line: RoundLine) -> list[Defect]:
    """What a check came to in its round, as it is kept now and not taken back."""
    rows = RoundLine.objects.filter(round=line.round_id, item=line.item_id, defect__isnull=False)
    found = [latest(row.defect) for row in rows.select_related("defect")]
    return [defect for defect in found if not defect.void]


def _withdraw(defects: Iterable[Defect], base: Base, at: datetime, by: Person | None) -> list[Defect]:
    """Takes back what nobody has dealt with, of today; what is open else stays, and is named."""
    stays = []
    for defect in defects:
        if not Defect.objects.open().filter(pk=defect.pk).exists():
            continue
        if _dealt_with(defect) or base.day_of(defect.recorded_at) != base.day_of(at):
            stays.append(defect)
        else:
            take_back(defect, at=at, by=by)
    return stays


def _dealt_with(defect: Defect) -> bool:
    """Whether somebody graded, looked at, deferred, joined or corrected it."""
    case = defect.case
    joined = Defect.objects.standing().filter(same_as=case).exists()
    decided = DefectStep.objects.filter(defect=case).exists() or Deferral.objects.filter(defect=case).exists()
    return joined or decided or defect.replaces_id is not None
