"""Who works at the demo base, and how each signs in: for trying the program only."""

from dataclasses import dataclass
from datetime import date, timedelta

from fleet.bases.models import Base
from fleet.people.models import Membership, Person
from fleet.people.roles import ENGINEER, MANAGER, OFFICE


@dataclass(frozen=True, slots=True)
class SignIn:
    """One person's way in; the password is no secret."""

    role: str
    name: str
    login: str
    password: str


SIGN_INS = (
    SignIn(ENGINEER, "Tomé Vasquel", "tome", "pontoon-after-nine"),
    SignIn(MANAGER, "Ilda Serrão", "ilda", "harbour-before-noon"),
    SignIn(OFFICE, "Bryn Hallworth", "bryn", "papers-until-five"),
)


def employ(base: Base, on: date) -> dict[str, Person]:
    """Makes the base's people, each a member for a year already; by role."""
    people = {}
    for way_in in SIGN_INS:
        person = Person.objects.create_user(way_in.login, way_in.name, way_in.password)
        from_on = on - timedelta(days=365)
        Membership.objects.create(person=person, base=base, role=way_in.role, from_on=from_on)
        people[way_in.role] = person
    _second_pair_of_hands(base, on)
    return people


def _second_pair_of_hands(base: Base, on: date) -> None:
    """An engineer who works and never signs in, so that a Saturday has two people."""
    person = Person.objects.create_user("rasmo", "Rasmo Quell")
    Membership.objects.create(person=person, base=base, role=ENGINEER, from_on=on - timedelta(days=300))
