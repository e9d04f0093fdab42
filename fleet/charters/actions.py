"""What can be done with a charter: book it, extend it, change its boat, call it off."""

from datetime import date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.dates import spoken
from fleet.boats.facts import base_of
from fleet.boats.models import Boat
from fleet.charters.facts import bookings
from fleet.charters.links import follow_charter
from fleet.charters.models import Charter, CharterBoat
from fleet.charters.rules import Booking, clashes
from fleet.ledger import correction, enter
from fleet.people.models import Person
from fleet.refused import Refused, Taken


class CharterRefused(Refused):
    """A charter that cannot be as asked; the text says what is in the way."""


@transaction.atomic
def book_charter(charter: Charter) -> Charter:
    """Keeps a new charter; CharterRefused where its boat is out then, Taken where another has its code."""
    if Charter.objects.filter(code=charter.code).exists():
        raise Taken("code", charter.code)
    charter.full_clean()
    charter.save()
    _refuse_clashes(charter)
    return charter


@transaction.atomic
def change_charter(charter: Charter, **changed: Any) -> Charter:
    """Changes what moves no day: when she leaves, her berth, who is aboard; CharterRefused where
    another comes back later than she would leave."""
    take_turn()
    _as_it_stands(charter)
    for name, value in changed.items():
        setattr(charter, name, value)
    charter.full_clean()
    charter.save()
    _refuse_clashes(charter)
    return charter


@transaction.atomic
def extend_charter(charter: Charter, *, ends_on: date, back_at: time | None = None) -> Charter:
    """Lets a charter end on another day (or time), and its links with it; CharterRefused where another
    has the boat then."""
    _as_it_stands(charter)
    charter.ends_on, charter.back_at = ends_on, back_at or charter.back_at
    charter.full_clean()
    charter.save()
    _refuse_clashes(charter)
    follow_charter(charter)
    return charter


@transaction.atomic
def change_boat(
    charter: Charter,
    boat: Boat,
    *,
    from_on: date,
    why: str,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> CharterBoat:
    """Gives a charter another boat from a day on; CharterRefused where that boat is booked."""
    _as_it_stands(charter)
    _refuse_day(charter, from_on, base_of(boat, from_on).day_of(at))
    if boat == charter.boat:
        raise CharterRefused(f"boat: {charter.code} has {boat.name} already")
    if not CharterBoat.objects.standing().filter(charter=charter).exists():
        _had(charter, charter.boat, charter.starts_on, "as booked", at, by)
    for later in CharterBoat.objects.standing().filter(charter=charter, from_on__gte=from_on):
        correction(later, at=at, by=by, void=True)
    changed = _had(charter, boat, from_on, why, at, by, client_id)
    charter.boat, charter.berth = boat, ""  # the berth was the other boat's
    charter.save()
    _refuse_clashes(charter)
    return changed


def _as_it_stands(charter: Charter) -> None:
    """Reads the charter again now that it is ours to change; CharterRefused where it was called off."""
    charter.refresh_from_db()
    if charter.cancelled_at is not None:
        raise CharterRefused(f"{charter.code} was called off")


def _refuse_day(charter: Charter, from_on: date, today: date) -> None:
    """A charter that goes out later gets its boat for all of it, one that is out from a day up to today."""
    last = max(min(today, charter.ends_on - timedelta(days=1)), charter.starts_on)
    if not charter.starts_on <= from_on <= last:
        until = "" if last == charter.starts_on else f" up to {spoken(last)}"
        raise CharterRefused(f"from_on: wanted {spoken(charter.starts_on)}{until}")


@transaction.atomic
def cancel_charter(charter: Charter, *, at: datetime) -> Charter:
    """Calls a charter off: from then on it counts nowhere."""
    _as_it_stands(charter)
    charter.cancelled_at = at
    charter.save()
    return charter


def _had(
    charter: Charter,
    boat: Boat,
    from_on: date,
    why: str,
    at: datetime,
    by: Person | None,
    client_id: str | None = None,
) -> CharterBoat:
    row = CharterBoat(
        charter=charter,
        boat=boat,
        from_on=from_on,
        from_at=datetime.combine(
            from_on, charter.leaves_at or time(0), ZoneInfo(base_of(boat, from_on).timezone)
        ),
        why=why,
    )
    return enter(row, at=at, by=by, client_id=client_id)


def _refuse_clashes(charter: Charter) -> None:
    for pair in clashes(bookings([charter.boat_id]).get(charter.boat_id, ())):
        if charter.code in {booking.code for booking in pair}:
            other = next(booking for booking in pair if booking.code != charter.code)
            raise CharterRefused(f"{charter.boat.name} is out on {_said(other)}")


def _said(booking: Booking) -> str:
    """4945, Sat 5 Dec 2026 17:00 to Sat 12 Dec 2026 09:00."""
    leaves = f" {booking.leaves_at:%H:%M}" if booking.leaves_at else ""
    back = f" {booking.back_at:%H:%M}" if booking.back_at else ""
    return f"{booking.code}, {spoken(booking.starts_on)}{leaves} to {spoken(booking.ends_on)}{back}"
