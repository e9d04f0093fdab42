"""Who works where as what, and who somebody is, as what they show says."""

from dataclasses import dataclass
from datetime import date, datetime

from fleet.bases.models import Base
from fleet.people.models import Membership, Person, Token
from fleet.people.roles import may
from fleet.secret import digest, is_whole


def person_of(secret: str) -> Person | None:
    """Whose token this is; None where it is none, was revoked, or its person can't sign in any more."""
    if not is_whole(secret):
        return None
    token = Token.objects.in_force().filter(secret_hash=digest(secret)).select_related("person").first()
    return token.person if token is not None else None


@dataclass(frozen=True, slots=True)
class Worker:
    """A person of a base and their roles there that have not ended, or all of them where all have."""

    person: Person
    roles: tuple[Membership, ...]
    here: bool  # in force today
    ended: bool  # none is in force or to come


def workers(base: Base, on: date) -> list[Worker]:
    """Everybody who ever had a role at a base, by name."""
    rows = Membership.objects.filter(base=base).select_related("person")
    mine: dict[Person, list[Membership]] = {}
    for row in rows.order_by("person__name", "person__pk", "from_on", "pk"):
        mine.setdefault(row.person, []).append(row)
    return [_worker(person, held, on) for person, held in mine.items()]


def _worker(person: Person, held: list[Membership], on: date) -> Worker:
    lasting = tuple(row for row in held if not row.has_ended(on))
    here = any(row.from_on <= on for row in lasting)
    return Worker(person, lasting or tuple(held), here, not lasting)


def lasting(person: Person, at: datetime) -> list[Membership]:
    """A person's roles at any base that are in force at a moment or still to come."""
    rows = Membership.objects.filter(person=person).select_related("base").order_by("base__code", "from_on")
    return [row for row in rows if not row.has_ended(row.base.day_of(at))]


def bases_where(person: Person, action: str, at: datetime) -> set[int]:
    """The bases, by key, at which a person may do something at a moment."""
    roles: dict[int, set[str]] = {}
    for row in lasting(person, at):
        if row.from_on <= row.base.day_of(at):
            roles.setdefault(row.base_id, set()).add(row.role)
    return {base for base, held in roles.items() if may(frozenset(held), action)}


def may_give_password(manager: Person, person: Person, at: datetime) -> bool:
    """Whether each base this person works at, or will, is one whose people this manager changes.

    One base could otherwise take over the sign-in of another base's person.
    """
    theirs = {row.base_id for row in lasting(person, at)}
    return bool(theirs) and theirs <= bases_where(manager, "change people", at)
