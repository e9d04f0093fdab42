"""manage.py load FOLDER: takes a base's files into the book."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone

from fleet.exchange.faults import FilesRefused
from fleet.management.book import BookCommand
from maintenance.exchange.folder import load_folder


class Command(BookCommand):
    help = "Loads a base from a folder of CSV files: all of it, or nothing and a line for each fault."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path)
        parser.add_argument("--check", action="store_true", help="check every row and keep nothing")
        parser.add_argument("--update", action="store_true", help="let known rows say something new")

    def handle(self, *args: Any, folder: Path, check: bool, update: bool, **options: Any) -> None:
        try:
            book = load_folder(folder, at=timezone.now(), update=update, check=check)
        except FilesRefused as refused:
            for fault in refused.faults:
                self.stderr.write(str(fault))
            raise CommandError(str(refused)) from refused
        for file, tally in book.tallies.items():
            self.stdout.write(f"{file:20} {tally.new:7} new {tally.changed:7} changed {tally.same:7} known")
        self.stdout.write("Checked; nothing was kept." if check else "Loaded.")
