"""What can be done about people: roles given and ended, passwords, tokens of their programs."""

from datetime import date, datetime, timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.db.models import Q

from fleet.bases.models import Base
from fleet.people.facts import bases_where, lasting, may_give_password
from fleet.people.models import Membership, Person, Token
from fleet.people.roles import MANAGER
from fleet.people.rules import Tenure, first_day_without
from fleet.refused import Refused
from fleet.secret import digest, new_secret

MOST_TOKENS = 20  # in force, a person: more are not looked after by anybody
FARTHEST_BACK, FARTHEST_AHEAD = timedelta(days=60 * 366), timedelta(days=10 * 366)


class PeopleRefused(Refused):
    """Something about people that cannot be as asked; the text says what is wanted."""


class LoginTaken(PeopleRefused):
    """A name to sign in with that is somebody's of whom this base knows nothing."""


class NotTheirs(PeopleRefused):
    """Asked by somebody who does not change the people of this base, or not this person."""


@transaction.atomic
def hire(
    base: Base,
    *,
    login: str,
    role: str,
    from_on: date,
    at: datetime,
    name: str = "",
    password: str = "",
    by: Person | None = None,
) -> Membership:
    """Gives a new person, or one this base knows, a role here from a day on.

    A login known elsewhere only is refused as taken, with nothing said of whose it is: adding its
    person unasked would show their name to this base, and would bind the hands of their own base,
    whose manager could then give them no new password. Whoever changes the people of both bases,
    or keeps this machine (`by` is None), adds them. Who comes back after all their roles ended gets
    a new password, so that nobody who learned the old one comes back with them.
    """
    today = _as_manager(base, by, at)
    _refuse_far("from_on", from_on, today)
    person = _known(login)
    if person is None:
        person = _new(login, name, password)
    else:
        _refuse_stranger(person, base, by, at)
        _refuse_another(person, name)
        _come_back(person, password, at)
    _refuse_twice(person, base, role, from_on)
    membership = Membership(person=person, base=base, role=role, from_on=from_on)
    membership.full_clean()
    membership.save()
    return membership


@transaction.atomic
def end_membership(
    membership: Membership, *, until_on: date | None, at: datetime, by: Person | None = None
) -> Membership | None:
    """Sets the last day of a role, that day counted; None takes the end back.

    A day before its first calls off a role that begins today or later: nothing of it is left.
    """
    today = _as_manager(membership.base, by, at)
    row = Membership.objects.select_for_update().filter(pk=membership.pk).first()
    if row is None or row.has_ended(today):
        raise PeopleRefused("until_on: this role has ended already; it can be given again")
    if until_on is not None:
        _refuse_far("until_on", until_on, today)
    else:
        _refuse_twice(row.person, row.base, row.role, row.from_on, but=row)
    called_off = until_on is not None and until_on < row.from_on
    if called_off:
        _call_off(row, today)
    else:
        row.until_on = until_on
        row.save()
    if row.role == MANAGER:
        _refuse_without_manager(row.base, today)
    return None if called_off else row


@transaction.atomic
def give_password(person: Person, *, password: str, at: datetime, by: Person | None = None) -> None:
    """Gives a person a new password, which ends their sessions; given by another, their tokens too."""
    own = by is not None and by.pk == person.pk
    if by is not None and not own and not may_give_password(by, person, at):
        raise NotTheirs("password: only for people who work at your bases and nowhere else")
    _set_password(person, password, at, tokens_too=not own)


@transaction.atomic
def make_token(person: Person, *, name: str, at: datetime) -> tuple[Token, str]:
    """A program's way in as this person, and its secret, which is kept nowhere and shown this once."""
    Person.objects.select_for_update().get(pk=person.pk)
    secret = new_secret()
    token = Token(person=person, name=_words(name, "name"), secret_hash=digest(secret), made_at=at)
    token.full_clean()
    others = person.tokens.in_force()
    if others.filter(name=token.name).exists():
        raise PeopleRefused(f"name: “{token.name}” is in force already; wanted another name, or revoke that")
    if others.count() >= MOST_TOKENS:
        raise PeopleRefused(f"name: {MOST_TOKENS} tokens are in force; revoke one that is not used")
    token.save()
    return token, secret


@transaction.atomic
def revoke_token(token: Token, *, at: datetime) -> Token:
    """Ends a token from now on; one that ended before keeps its moment."""
    token = Token.objects.select_for_update().get(pk=token.pk)
    if token.revoked_at is None:
        token.revoked_at = at
        token.save()
    return token


def _as_manager(base: Base, by: Person | None, at: datetime) -> date:
    """The base's day, once it is sure that `by` changes its people; one change of them at a time."""
    Base.objects.select_for_update().get(pk=base.pk)
    if by is not None and base.pk not in bases_where(by, "change people", at):
        raise NotTheirs(f"Wanted a manager of {base.name}.")
    return base.day_of(at)


def _known(login: str) -> Person | None:
    """Whose login this is; one that differs in capitals only is the same to whoever types it."""
    login = Person.normalize_username(login.strip())
    return Person.objects.filter(login=login).first() or Person.objects.filter(login__iexact=login).first()


def _new(login: str, name: str, password: str) -> Person:
    login, name = Person.normalize_username(login.strip()), _words(name, "name")
    if not name:
        raise PeopleRefused("name: wanted the name of a new person")
    _refuse_weak(password, Person(login=login, name=name))
    try:
        with transaction.atomic():
            return Person.objects.create_user(login, name, password)
    except IntegrityError as error:  # the same login was given elsewhere at this very moment
        raise _taken(login) from error


def _words(text: str, field: str) -> str:
    """One line as somebody typed it; nothing that a screen would not show."""
    words = " ".join(text.split())
    if not words.isprintable():
        raise ValidationError({field: "wanted letters, digits and signs that can be seen"})
    return words


def _taken(login: str) -> LoginTaken:
    return LoginTaken(f"login: “{login}” is taken; wanted another name to sign in with")


def _refuse_stranger(person: Person, base: Base, by: Person | None, at: datetime) -> None:
    if not person.is_active:
        raise _taken(person.login)
    if by is None or person.memberships.filter(base=base).exists():
        return
    if not bases_where(by, "change people", at) & {row.base_id for row in lasting(person, at)}:
        raise _taken(person.login)


def _refuse_another(person: Person, name: str) -> None:
    if name and " ".join(name.split()) != person.name:
        raise PeopleRefused(
            f"login: “{person.login}” is {person.name}, who is known here: give that person another role, "
            "or want another name to sign in with"
        )


def _come_back(person: Person, password: str, at: datetime) -> None:
    if not lasting(person, at):
        _set_password(person, password, at, tokens_too=True)
    elif password:
        raise PeopleRefused(f"password: {person.name} has one already; leave it out to give another role")


def _refuse_far(field: str, day: date, today: date) -> None:
    """A slip of the year: nobody has worked here for sixty years, nobody is hired ten years ahead."""
    if not today - FARTHEST_BACK <= day <= today + FARTHEST_AHEAD:
        raise PeopleRefused(f"{field}: wanted a day of the past sixty years or the coming ten")


def _refuse_twice(
    person: Person, base: Base, role: str, from_on: date, but: Membership | None = None
) -> None:
    """A role that goes on from a day cannot meet the same role of the same person at the base."""
    held = person.memberships.filter(base=base, role=role).exclude(pk=but.pk if but else 0)
    met = held.filter(Q(until_on__isnull=True) | Q(until_on__gte=from_on)).order_by("from_on").first()
    if met is not None:
        until = f" until {met.until_on}" if met.until_on else ""
        raise PeopleRefused(f"role: {person.name} is {role} from {met.from_on}{until} already")


def _call_off(row: Membership, today: date) -> None:
    """Takes out a role nobody has had a day of."""
    if row.from_on < today:
        raise PeopleRefused(f"until_on: wanted {row.from_on} or later, for it began that day")
    row.delete()


def _refuse_without_manager(base: Base, today: date) -> None:
    """Some manager who can sign in must be there on every day to come: nobody else gives roles."""
    rows = Membership.objects.filter(base=base, role=MANAGER, person__is_active=True)
    able = [row for row in rows.select_related("person") if row.person.has_usable_password()]
    alone = first_day_without([Tenure(row.from_on, row.until_on) for row in able], today)
    if alone is not None:
        since = f"{alone.day} {alone:%b %Y}"
        raise PeopleRefused(
            f"until_on: {base.name} would have no manager from {since} on; make somebody else manager first"
        )


def _set_password(person: Person, password: str, at: datetime, *, tokens_too: bool) -> None:
    _refuse_weak(password, person)
    person.set_password(password)
    person.save(update_fields=["password"])
    if tokens_too:
        person.tokens.filter(revoked_at__isnull=True).update(revoked_at=at)


def _refuse_weak(password: str, person: Person) -> None:
    if not password:
        raise PeopleRefused("password: wanted one to start with")
    try:
        validate_password(password, person)
    except ValidationError as weak:
        raise ValidationError({"password": weak.messages}) from weak
