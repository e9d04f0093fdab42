"""manage.py reforecast: derives every due line afresh, or shows which differ."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone

from fleet.bases.models import Base
from fleet.management.book import BookCommand
from maintenance.servicing.actions import COLUMNS, differences, reforecast
from maintenance.servicing.models import Due


class Command(BookCommand):
    help = "Derives every due line afresh; with --check, prints each that differs and changes none."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true", help="print the lines that differ, keep none")

    def handle(self, *args: Any, check: bool, **options: Any) -> None:
        now = timezone.now()
        today = max((base.day_of(now) for base in Base.objects.all()), default=now.date())
        if not check:
            reforecast(on=today)
            lines = Due.objects.count()
            self.stdout.write(f"{lines} line{'' if lines == 1 else 's'}.")
            return
        differing = 0
        for kept, fresh in differences(on=today):
            differing += 1
            self.stdout.write(_said(kept, fresh))
        if differing:
            differ = "1 line differs" if differing == 1 else f"{differing} lines differ"
            raise CommandError(f"{differ} from a fresh derivation; reforecast puts that right")
        self.stdout.write("No line differs.")


def _said(kept: Due | None, fresh: Due | None) -> str:
    line = kept or fresh
    assert line is not None
    name = f"{line.boat.code} {line.component.code} {line.interval.code}"
    if kept is None or fresh is None:
        return f"{name}: {'not stored' if kept is None else 'no longer due'}"
    columns = [c for c in COLUMNS if getattr(kept, c) != getattr(fresh, c)]
    changes = (f"{c} {getattr(kept, c)}, afresh {getattr(fresh, c)}" for c in columns)
    return f"{name}: {'; '.join(changes)}"
