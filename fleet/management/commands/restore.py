"""manage.py restore SOURCE: puts a backup back, proved equal row by row with what was backed up."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.utils import timezone

from fleet.management.book import BookCommand
from fleet.management.commands.backup import said
from fleet.management.keeping import restoring


class Command(BookCommand):
    help = "Puts a backup back, once all of it is looked over; stop what serves the pages first."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("source", type=Path, help="a file that `backup` made")
        parser.add_argument(
            "--over",
            action="store_true",
            help="replace what is there, after a backup of it beside the source",
        )

    def handle(self, *args: Any, source: Path, over: bool, **options: Any) -> None:
        manifest = restoring.restore(source, at=timezone.now(), over=over, tell=self.stdout.write)
        self.stdout.write(f"Restored and compared row by row: {said(manifest)}")
        self.stdout.write("Now run `manage.py reforecast`, for the list is of the day of the backup.")
