"""manage.py person: puts somebody on a base's list, so that they can sign in."""

from argparse import ArgumentParser
from datetime import datetime
from getpass import getpass
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import CommandError
from django.db import transaction
from django.utils import timezone

from fleet.bases.models import Base
from fleet.management.book import BookCommand
from fleet.people.actions import hire, make_token
from fleet.people.facts import lasting
from fleet.people.models import Person
from fleet.people.roles import ROLES
from fleet.refused import Refused


class Command(BookCommand):
    help = "Adds a person with a role at a base, or another role to one who is known; asks for a password."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("login", help="what they type to sign in")
        parser.add_argument("--name", help="their name, for a new person")
        parser.add_argument("--base", required=True, help="the base's code")
        parser.add_argument("--role", required=True, choices=ROLES)
        parser.add_argument("--password-from", type=Path, help="read the password from a file")
        parser.add_argument(
            "--token", metavar="NAME", help="also make a token for a program, and print it once"
        )

    @transaction.atomic
    def handle(self, *args: Any, login: str, **options: Any) -> None:
        base = Base.objects.filter(code=options["base"]).first()
        if base is None:
            known = ", ".join(Base.objects.values_list("code", flat=True)) or "none yet: load a folder first"
            raise CommandError(f"--base: found {options['base']}; wanted one of {known}")
        at = timezone.now()
        try:
            person = _on_the_list(base, login, at, options)
            self.stdout.write(f"{person.name} is {options['role']} at {base.name}.")
        except (Refused, ValidationError) as wrong:
            raise CommandError(_said(wrong)) from wrong
        if options["token"] is not None:
            self.stdout.write(_token(person, options["token"], at))


def _on_the_list(base: Base, login: str, at: datetime, options: dict[str, Any]) -> Person:
    """The person, with the role: as they have it already, or from today on."""
    person = Person.objects.filter(login=login).first()
    name, role, held = options["name"], options["role"], lasting(person, at) if person else []
    if person is not None and name not in (None, person.name):
        raise CommandError(f"--name: {login} is {person.name} already; leave it out to add a role")
    today = base.day_of(at)
    if person is not None and any(m.base == base and m.role == role and m.from_on <= today for m in held):
        return person
    if person is None and not name:
        raise CommandError("--name: wanted the name of a new person")
    password = "" if held else _password(options["password_from"])
    return hire(base, login=login, name=name or "", password=password, role=role, from_on=today, at=at).person


def _token(person: Person, name: str, at: datetime) -> str:
    try:
        return make_token(person, name=name, at=at)[1]
    except Refused as wrong:
        raise CommandError(f"--token: {wrong.wanted}") from wrong
    except ValidationError as wrong:
        raise CommandError("--token: " + " ".join(wrong.messages)) from wrong


def _said(wrong: Refused | ValidationError) -> str:
    """A refusal by the name of its option; the login has none."""
    if isinstance(wrong, Refused):
        return f"--{wrong}" if wrong.field in ("name", "role") else str(wrong)
    return " ".join(wrong.messages)


def _first_line(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8").partition("\n")[0]
    except OSError as error:
        raise CommandError(f"--password-from: cannot read {file} ({error.strerror})") from error


def _password(file: Path | None) -> str:
    return getpass("Password: ") if file is None else _first_line(file)
