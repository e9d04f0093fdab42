"""manage.py backup TARGET: the database and every paper in one file, made while all go on working."""

from argparse import ArgumentParser, ArgumentTypeError
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone

from fleet.management.book import BookCommand
from fleet.management.keeping import making, restoring
from fleet.management.keeping.envelope import Manifest


class Command(BookCommand):
    help = "Backs the database and the papers up into one file, or looks one over with --check."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("target", type=Path, help="a new file, or a folder: it is named for the moment")
        what = parser.add_mutually_exclusive_group()
        what.add_argument("--check", action="store_true", help="look over the backup that is there")
        what.add_argument(
            "--keep",
            type=_count,
            metavar="N",
            help="in a folder: delete the oldest so named, all but the latest N",
        )

    def handle(self, *args: Any, target: Path, check: bool, keep: int | None, **options: Any) -> None:
        if check:
            self.stdout.write(f"Whole: {said(restoring.check(target))}")
            return
        if keep is not None and not target.is_dir():
            raise CommandError("--keep: wanted a folder of backups as the target")
        now = timezone.now()
        made = making.make(making.target(target, now), at=now)
        self.stdout.write(f"{made.path}: {made.size / 1e6:.1f} MB, {said(made.manifest)}")
        for old in making.let_go(target, keep) if keep else ():
            self.stdout.write(f"Deleted: {old}")
        if made.damaged:
            names = ", ".join(made.damaged[:5])
            raise CommandError(f"the backup is made, but not what their names say are: {names}")


def said(manifest: Manifest) -> str:
    papers = len(manifest.papers)
    return (
        f"{manifest.rows} rows of {len(manifest.tables)} tables ({manifest.database}), "
        f"{papers} paper{'' if papers == 1 else 's'}, of {manifest.made_at[:16].replace('T', ' ')} UTC"
    )


def _count(text: str) -> int:
    if not text.isdecimal() or int(text) < 1:
        raise ArgumentTypeError(f'found "{text}"; wanted a whole number from 1')
    return int(text)
