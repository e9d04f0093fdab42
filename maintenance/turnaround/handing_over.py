"""What can be done when a boat is given to a charter: hand her over, and take that back."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.dates import spoken
from fleet.boats.facts import base_of
from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.ledger import enter, latest, once, take_back
from fleet.people.models import Person
from fleet.refused import Refused, TooLate
from maintenance.jobs.actions import refuse_late
from maintenance.release.facts import Judged, judge
from maintenance.release.models import Release
from maintenance.release.rule_list import HELD
from maintenance.release.rules import worst_first
from maintenance.turnaround.facts import Turn, handover_of, turn_of
from maintenance.turnaround.models import Handover
from maintenance.turnaround.open_jobs import open_jobs
from maintenance.turnaround.telling import release_in_force, told_of

NOT_INSPECTED, NOT_SIGNED, NOT_RELEASED = "not inspected at return", "round not signed", "not released"


class HandoverRefused(Refused):
    """A handover that cannot be as asked; `field` names what to put right."""


class HandedOver(TooLate):
    """A boat that was handed over to the charter already."""


@dataclass(frozen=True, slots=True)
class Holding:
    """One thing that keeps her from being handed over, and what somebody alone can do about it; `row`
    is the defect's, where it is one."""

    words: str
    way_out: str
    row: int = 0


@dataclass(frozen=True, slots=True)
class Readiness:
    """How far a boat is ready to be given to a charter: what holds her, what was not done, and what
    its skipper would be told now."""

    judged: Judged
    turn: Turn
    holding: tuple[Holding, ...]
    not_done: tuple[str, ...]
    told: dict[str, Any]

    @property
    def release(self) -> Release | None:
        return release_in_force(self.judged)


def readiness_of(boat: Boat, charter: Charter, *, base: Base, at: datetime) -> Readiness:
    """How far a boat is ready to be handed over to a charter at a moment."""
    on = base.day_of(at)
    judged = judge(boat, charter, base=base, on=on, now=at)
    turn = turn_of(boat, on, charter)
    told = told_of(judged, turn, base, open_jobs(boat, charter, base=base, on=on, now=at))
    return Readiness(judged, turn, _holding(judged), _not_done(judged, turn), told)


def hand_over(
    boat: Boat,
    charter: Charter,
    *,
    who: str,
    why: str = "",
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Handover:
    """Gives a boat to a charter by name, once, and freezes what its skipper is told.

    Where the return was not inspected, the round not signed or the boat not released, only with a
    reason `why`; which of them is kept beside. HandoverRefused while anything holds her that was not
    let be, where name or reason is missing, and for a charter that is not hers, over, called off or
    not her next; HandedOver where she was handed over to it already.
    """

    def known() -> Handover | None:
        row = Handover.objects.filter(client_id=client_id).first() if client_id else None
        return row if row is not None and row.charter_id == charter.pk else None

    def keep() -> Handover:
        return _keep(boat, charter, who, why, at, by, client_id)

    return once(known, keep)


@transaction.atomic
def take_back_handover(row: Handover, *, at: datetime, by: Person | None = None) -> Handover:
    """Says that a boat was not handed over after all; TooLateToTakeBack after the day."""
    take_turn()
    refuse_late(row.boat, row.recorded_at, at)
    undone: Handover = take_back(latest(row), at=at, by=by)
    return undone


def refuse_charter(boat: Boat, charter: Charter, *, base: Base, at: datetime) -> None:
    """HandoverRefused where this is no charter the boat can be given to now."""
    on = base.day_of(at)
    if charter.cancelled_at is not None:
        raise HandoverRefused(f"charter: {charter.code} was called off")
    if charter.boat_id != boat.pk:
        raise HandoverRefused(f"charter: {charter.code} has {charter.boat.name} now, not {boat.name}")
    if charter.ends_on <= on:
        raise HandoverRefused(f"charter: {charter.code} is over, it ended on {spoken(charter.ends_on)}")
    rows = Charter.objects.next_from(on).filter(boat=boat, starts_on__lt=charter.starts_on)
    if (before := rows.exclude(pk=charter.pk).first()) is not None:
        raise HandoverRefused(f"charter: wanted {before.code}, for which {boat.name} goes out first")


def _keep(
    boat: Boat, charter: Charter, who: str, why: str, at: datetime, by: Person | None, client_id: str | None
) -> Handover:
    take_turn()
    ours = Charter.objects.select_related("boat").get(pk=charter.pk)
    base = base_of(boat, at.date())
    refuse_charter(boat, ours, base=base, at=at)
    if (there := handover_of(ours)) is not None:
        raise HandedOver(f"{boat.name} was handed over to {ours.code} already, by {there.by}")
    ready = readiness_of(boat, ours, base=base, at=at)
    _refuse(ready, who, why)
    row = Handover(charter=ours, boat=boat, release=ready.release, by=who.strip(), told=ready.told)
    row.not_done, row.why = list(ready.not_done), why.strip()
    return enter(row, at=at, by=by, client_id=client_id)


def _refuse(ready: Readiness, who: str, why: str) -> None:
    if ready.holding:
        raise HandoverRefused("held: " + "; ".join(f"{h.words}. {h.way_out}" for h in ready.holding))
    if not who.strip():
        raise HandoverRefused("who: wanted the name of who hands her over")
    if ready.not_done and not why.strip():
        raise HandoverRefused(f"why: wanted why she is handed over all the same: {', '.join(ready.not_done)}")


def _holding(judged: Judged) -> tuple[Holding, ...]:
    reasons: Sequence[Any] = worst_first(judged.standing.reasons)
    found = tuple(Holding(r.words, r.way_out, r.row) for r in reasons)
    release = judged.release
    if not found and release is not None and judged.standing.verdict == HELD:
        return (Holding(f"Said to be held: {release.why}", "Release her, by name"),)
    return found


def _not_done(judged: Judged, turn: Turn) -> tuple[str, ...]:
    checks = (
        (NOT_INSPECTED, turn.is_inspected),
        (NOT_SIGNED, turn.signed is not None),
        (NOT_RELEASED, release_in_force(judged) is not None),
    )
    return tuple(words for words, done in checks if not done)
