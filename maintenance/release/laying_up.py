"""What can be done about a boat's winter: lay her up, begin fitting-out, sign it, take that back."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.dates import spoken
from fleet.boats.facts import today_of
from fleet.boats.joining import correct_terms as correct
from fleet.boats.models import Boat, BoatTerms
from fleet.charters.facts import spans_by_boat
from fleet.ledger import enter, take_back
from fleet.people.models import Person
from fleet.refused import Refused, TooLate
from maintenance.release.known import FITTING_OUT, IN_USE, LAY_UP
from maintenance.release.models import FittingOut
from maintenance.release.ready import ready_of
from maintenance.servicing.following import due_list_follows
from maintenance.servicing.terms import add_terms, correct_terms

SIGNED = "fitting-out signed"


class LayUpRefused(Refused):
    """A lay-up or a fitting-out that cannot be as asked; `field` names what to put right."""


class NothingToTakeBack(TooLate):
    """No step of the winter was recorded for a boat today, or it was taken back already."""


@transaction.atomic
def lay_up(
    boat: Boat, on: date, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> BoatTerms:
    """Lays a boat up from a day on, which may be to come; the tasks of the lay-up count from it.

    LayUpRefused where she is laid up then, or is out on charter on that day or went out since.
    """
    take_turn()
    if state_on(boat, on) == LAY_UP:
        raise LayUpRefused(f"on: wanted a day on which {boat.name} is not laid up yet")
    today = today_of(boat, at)
    for span in reversed(spans_by_boat([boat.pk]).get(boat.pk, ())):
        if span.starts_on <= on < span.ends_on:
            raise LayUpRefused(f"on: wanted a day she is in: she is out until {spoken(span.ends_on)}")
        if on < span.starts_on <= today:
            raise LayUpRefused(f"on: wanted a day after {spoken(span.starts_on)}, when she went out")
    return _state_from(boat, on, LAY_UP, at=at, by=by, client_id=client_id)


@transaction.atomic
def call_off_lay_up(boat: Boat, *, at: datetime, by: Person | None = None) -> BoatTerms:
    """Says that a boat is not laid up from the day that was booked; LayUpRefused where none was."""
    take_turn()
    to_come = BoatTerms.objects.standing().filter(boat=boat, from_on__gt=today_of(boat, at), state=LAY_UP)
    row = to_come.order_by("from_on", "pk").first()
    if row is None:
        raise LayUpRefused(f"on: wanted a lay-up of {boat.name} that is to come")
    return _state_from(boat, row.from_on, state_on(boat, today_of(boat, at)), at=at, by=by)


@transaction.atomic
def begin_fitting_out(
    boat: Boat, on: date, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> BoatTerms:
    """Ends a boat's lay-up: from a day on she is being made ready. LayUpRefused where she is not laid
    up then, or where the day is to come."""
    take_turn()
    _refuse_to_come(boat, on, at)
    if state_on(boat, on) != LAY_UP:
        raise LayUpRefused(f"on: wanted a day on which {boat.name} is laid up")
    return _state_from(boat, on, FITTING_OUT, at=at, by=by, client_id=client_id)


@transaction.atomic
def sign_fitting_out(
    boat: Boat,
    who: str,
    words: str = "",
    *,
    on: date,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> FittingOut:
    """Says by name that a boat was made ready; from that day she is in use again. LayUpRefused where
    no name is given, where the day is to come, or where there is no fitting-out to sign."""
    take_turn()
    if not who.strip():
        raise LayUpRefused("who: wanted the name of who signs")
    _refuse_to_come(boat, on, at)
    state = state_on(boat, on)
    if state == IN_USE and ready_of([boat.pk], on)[boat.pk]:
        raise LayUpRefused(f"on: wanted a day on which {boat.name} is laid up or being fitted out")
    if state != IN_USE:
        _state_from(boat, on, IN_USE, at=at, by=by)
    row = FittingOut(boat=boat, signed_on=on, who=who.strip(), words=words.strip())
    return enter(row, at=at, by=by, client_id=client_id)


@transaction.atomic
def take_back_step(boat: Boat, *, at: datetime, by: Person | None = None) -> str:
    """Undoes the last step of a boat's winter recorded today, and gives the state she is in again.
    NothingToTakeBack where there is none."""
    take_turn()
    step = step_to_take_back(boat, at)
    if step is None:
        raise NothingToTakeBack("There is no step of today to take back")
    of_it: dict[str, Any] = {"boat": boat, "recorded_at": step.at}
    with due_list_follows([boat.pk], at=at):
        for terms in BoatTerms.objects.standing().filter(**of_it).order_by("-from_on"):
            correct(terms, void=True, at=at, by=by)
        for signed in FittingOut.objects.standing().filter(**of_it):
            take_back(signed, at=at, by=by)
    return state_on(boat, step.on)


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a boat's winter: when it was recorded, from which day it holds, what it says."""

    at: datetime
    on: date
    says: str


def step_to_take_back(boat: Boat, at: datetime) -> Step | None:
    """The last step of a boat's winter, where it was recorded today and was not taken back."""
    terms = _last_terms(boat)
    signed = FittingOut.objects.standing().filter(boat=boat).order_by("recorded_at", "pk").last()
    steps = [] if signed is None else [Step(signed.recorded_at, signed.signed_on, SIGNED)]
    steps += [] if terms is None else [Step(terms.recorded_at, terms.from_on, terms.state)]
    today = today_of(boat, at)
    return max((s for s in steps if today_of(boat, s.at) == today), key=lambda s: s.at, default=None)


def _last_terms(boat: Boat) -> BoatTerms | None:
    """The terms recorded last, where they changed her state and are no way back."""
    rows = BoatTerms.objects.standing().filter(boat=boat).order_by("recorded_at", "-from_on", "pk")
    last: BoatTerms | None = rows.last()
    if last is None:
        return None
    before: Any = last.replaces or _in_force(boat, last.from_on, without=last)
    if before is None or before.state == last.state or _is_way_back(last):
        return None
    return last


def _is_way_back(row: BoatTerms) -> bool:
    """Whether terms say again what stood before those they replace: undone once, not to and fro."""
    older: Any = row.replaces.replaces if row.replaces is not None else None
    return older is not None and older.state == row.state


def state_on(boat: Boat, on: date) -> str:
    """The state of a boat on a day."""
    row = _in_force(boat, on)
    return IN_USE if row is None else row.state


def _in_force(boat: Boat, on: date, without: BoatTerms | None = None) -> BoatTerms | None:
    rows = BoatTerms.objects.standing().filter(boat=boat, from_on__lte=on).order_by("from_on", "pk")
    found: BoatTerms | None = (rows if without is None else rows.exclude(pk=without.pk)).last()
    return found


def _refuse_to_come(boat: Boat, on: date, at: datetime) -> None:
    if on > today_of(boat, at):
        raise LayUpRefused("on: wanted today or a day before")


def _state_from(boat: Boat, on: date, state: str, *, at: datetime, **who: Any) -> BoatTerms:
    """Another state from a day on: terms that begin that day are corrected, and so are later ones
    that only carried the old state on."""
    was = _in_force(boat, on)
    later = BoatTerms.objects.standing().filter(boat=boat, from_on__gt=on).order_by("from_on", "pk")
    with due_list_follows([boat.pk], at=at):
        if was is not None and was.from_on == on:
            row = correct_terms(was, at=at, state=state, **who)
        else:
            row = add_terms(boat, at=at, from_on=on, state=state, **who)
        for other in later:
            if was is None or other.state != was.state:
                break
            correct(other, at=at, state=state)
    return row
