"""Which of the two databases this copy of the program uses, as a thing to copy and put back."""

from types import ModuleType

from django.core.management.base import CommandError
from django.db import connection

from fleet.management.keeping import postgresql, sqlite


def database() -> ModuleType:
    """`sqlite` or `postgresql`: each copies, looks over and puts back in its own way."""
    for kept in (sqlite, postgresql):
        if connection.vendor == kept.KIND:
            return kept
    raise CommandError(f"{connection.vendor}: only SQLite and PostgreSQL are backed up by this program")
