"""manage.py due: the due list of a day, as a table, JSON or CSV."""

from argparse import ArgumentParser, ArgumentTypeError
from datetime import date
from typing import Any

from django.core.management.base import CommandError
from django.utils import timezone

from fleet.bases.models import Base
from fleet.boats.models import Boat
from fleet.exchange.cells import NotWanted, count, day
from fleet.exchange.faults import on_one_line, shown
from fleet.management.book import BookCommand
from maintenance.exchange.due_list import FORMATS
from maintenance.servicing.listing import due_lines

MOST_SHOWN = 10  # codes named where an unknown one is given


class Command(BookCommand):
    help = "Prints what is overdue, due within some days, or to be done before the next handover."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--on", type=_day, help="the day asked about, today unless told")
        length = parser.add_mutually_exclusive_group()
        length.add_argument("--days", type=_days, default=7, help="how far ahead, 7 unless told")
        length.add_argument("--all", action="store_true", help="every line")
        parser.add_argument("--base", help="the code of one base")
        parser.add_argument("--boat", help="the code of one boat")
        parser.add_argument("--format", choices=FORMATS, default="table")

    def handle(self, *args: Any, on: date | None, days: int, **options: Any) -> None:
        base, boat = options["base"], options["boat"]
        _refuse_unknown(Base, "--base", base)
        _refuse_unknown(Boat, "--boat", boat)
        today = _today(base)
        asked = on or today
        length = None if options["all"] else min(days, (date.max - asked).days)
        lines = due_lines(on=asked, today=today, base=base, boat=boat, days=length)
        self.stdout.write(FORMATS[options["format"]](lines, asked), ending="")


def _day(text: str) -> date:
    try:
        return day(text, False)
    except NotWanted as wanted:
        raise ArgumentTypeError(f'found "{text}"; wanted {wanted}') from wanted


def _days(text: str) -> int:
    try:
        return count(0)(text, False)
    except NotWanted as wanted:
        raise ArgumentTypeError(f'found "{text}"; wanted {wanted}') from wanted


def _today(base: str | None) -> date:
    now = timezone.now()
    bases = Base.objects.all() if base is None else Base.objects.filter(code=base)
    return max((one.day_of(now) for one in bases), default=now.date())


def _refuse_unknown(model: type[Base] | type[Boat], option: str, code: str | None) -> None:
    if code is not None and not model.objects.filter(code=code).exists():
        codes = list(model.objects.values_list("code", flat=True)[: MOST_SHOWN + 1])
        more = " ..." if len(codes) > MOST_SHOWN else ""
        known = f"one of {', '.join(codes[:MOST_SHOWN])}{more}" if codes else "none: the book has none yet"
        raise CommandError(on_one_line(f'{option}: found "{shown(code)}"; wanted {known}'))
