"""What every command that reads or writes the book does first."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import OperationalError, ProgrammingError


class BookCommand(BaseCommand):
    """A command whose database may not have its tables yet: that is said, and the way out."""

    def execute(self, *args: Any, **options: Any) -> str | None:
        try:
            return super().execute(*args, **options)
        except (OperationalError, ProgrammingError) as error:
            raise CommandError(
                f"the database cannot be used ({error}); is `manage.py migrate` done?"
            ) from error
