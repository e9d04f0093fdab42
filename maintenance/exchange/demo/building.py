"""Builds the demo base in an empty database, for the day it is at its harbour."""

from datetime import date, datetime, time
from pathlib import Path
from tempfile import TemporaryDirectory
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.bases.models import Base
from fleet.people.roles import ENGINEER
from maintenance.exchange.demo.booked import Ledger
from maintenance.exchange.demo.files import past, standing, write_folder, write_opening
from maintenance.exchange.demo.life import live
from maintenance.exchange.demo.people import employ
from maintenance.exchange.folder import load_folder


@transaction.atomic
def build(at: datetime) -> tuple[Base, date]:
    """The base and its day: its store is loaded as of two years ago and the rest as of now, as any
    base's files are, then life goes on."""
    [row] = standing("bases.csv")
    zone = ZoneInfo(row["timezone"])
    day = at.astimezone(zone).date()
    gone = past(day)
    with TemporaryDirectory(prefix="demo-") as folder:
        write_opening(Path(folder), day, gone)
        load_folder(Path(folder), at=datetime.combine(gone.opened_on, time(12), zone))
    with TemporaryDirectory(prefix="demo-") as folder:
        write_folder(Path(folder), day)
        load_folder(Path(folder), at=at)
    base = Base.objects.get(code=row["base"])
    people = employ(base, day)
    Ledger(base, people[ENGINEER], day).keep(gone)
    live(at, day, people)
    base.refresh_from_db()
    return base, day
