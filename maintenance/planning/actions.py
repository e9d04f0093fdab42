"""What can be done with charters at a base that keeps a due list: the list follows each change."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, datetime, time

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.facts import today_of
from fleet.boats.models import Boat
from fleet.charters import actions
from fleet.charters.models import Charter, CharterBoat
from fleet.people.models import Person
from maintenance.servicing.following import Moved, due_list_follows


def book_charter(charter: Charter, *, at: datetime) -> list[Moved]:
    """Keeps a new charter, and its boat's lines follow; CharterRefused where she is out then."""
    with due_list_follows([charter.boat_id], at=at) as moved:
        actions.book_charter(charter)
    return moved


def extend_charter(
    charter: Charter, *, ends_on: date, at: datetime, back_at: time | None = None
) -> list[Moved]:
    """Lets a charter end on another day; CharterRefused where another has the boat then."""
    with _boats_follow(charter, at=at) as moved:
        actions.extend_charter(charter, ends_on=ends_on, back_at=back_at)
    return moved


def change_boat(
    charter: Charter,
    boat: Boat,
    *,
    from_on: date,
    why: str,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> list[Moved]:
    """Gives a charter another boat from a day on; the lines of every boat it had follow."""
    with _boats_follow(charter, boat, at=at) as moved:
        actions.change_boat(charter, boat, from_on=from_on, why=why, at=at, by=by, client_id=client_id)
    return moved


def cancel_charter(charter: Charter, *, at: datetime) -> list[Moved]:
    """Calls a charter off; CharterRefused where it has gone out, for then it ends another day."""
    if charter.starts_on < today_of(charter.boat, at):
        raise actions.CharterRefused(f"{charter.code} has gone out: give it another day to end")
    with _boats_follow(charter, at=at) as moved:
        actions.cancel_charter(charter, at=at)
    return moved


@contextmanager
def _boats_follow(charter: Charter, *others: Boat, at: datetime) -> Iterator[list[Moved]]:
    """The lines of a charter's boats and of others follow; the charter is read again in its turn,
    so that a change made since the caller read it is not written over."""
    with transaction.atomic():
        take_turn()
        charter.refresh_from_db()
        boats = {*_boats_of(charter), *(boat.pk for boat in others)}
        with due_list_follows(boats, at=at) as moved:
            yield moved


def _boats_of(charter: Charter) -> set[int]:
    """The boat a charter has and those it had: the days of all of them change with it."""
    had = CharterBoat.objects.standing().filter(charter=charter)
    return {charter.boat_id, *had.values_list("boat_id", flat=True)}
