"""manage.py person: puts somebody on a base's list, so that they can sign in."""

from argparse import ArgumentParser
from getpass import getpass
from pathlib import Path
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.management.base import CommandError
from django.db import transaction
from django.utils import timezone

from fleet.bases.models import Base
from fleet.management.book import BookCommand
from fleet.people.models import Membership, Person
from fleet.people.roles import ROLES


class Command(BookCommand):
    help = "Adds a person with a role at a base, or another role to one who is known; asks for a password."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("login", help="what they type to sign in")
        parser.add_argument("--name", help="their name, for a new person")
        parser.add_argument("--base", required=True, help="the base's code")
        parser.add_argument("--role", required=True, choices=ROLES)
        parser.add_argument("--password-from", type=Path, help="read the password from a file")

    @transaction.atomic
    def handle(self, *args: Any, login: str, **options: Any) -> None:
        base = Base.objects.filter(code=options["base"]).first()
        if base is None:
            known = ", ".join(Base.objects.values_list("code", flat=True)) or "none yet: load a folder first"
            raise CommandError(f"--base: found {options['base']}; wanted one of {known}")
        person = Person.objects.filter(login=login).first()
        if person is not None and options["name"] not in (None, person.name):
            raise CommandError(f"--name: {login} is {person.name} already; leave it out to add a role")
        person = person or self._new(login, **options)
        today = base.day_of(timezone.now())
        Membership.objects.get_or_create(
            person=person, base=base, role=options["role"], until_on=None, defaults={"from_on": today}
        )
        self.stdout.write(f"{person.name} is {options['role']} at {base.name}.")

    def _new(self, login: str, **options: Any) -> Person:
        if not options["name"]:
            raise CommandError("--name: wanted the name of a new person")
        try:
            return Person.objects.create_user(login, options["name"], _password(options["password_from"]))
        except ValidationError as wrong:
            raise CommandError(" ".join(wrong.messages)) from wrong


def _first_line(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8").partition("\n")[0]
    except OSError as error:
        raise CommandError(f"--password-from: cannot read {file} ({error.strerror})") from error


def _password(file: Path | None) -> str:
    password = getpass("Password: ") if file is None else _first_line(file)
    validate_password(password)
    return password
