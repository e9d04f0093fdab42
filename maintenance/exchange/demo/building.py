"""Builds the demo base in an empty database, for the day it is at its harbour."""

from datetime import date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.bases.models import Base
from maintenance.exchange.demo.files import standing, write_folder
from maintenance.exchange.demo.life import live
from maintenance.exchange.demo.people import employ
from maintenance.exchange.folder import load_folder


@transaction.atomic
def build(at: datetime) -> tuple[Base, date]:
    """The base and its day: its files are loaded as any base's are, then life goes on."""
    [row] = standing("bases.csv")
    day = at.astimezone(ZoneInfo(row["timezone"])).date()
    with TemporaryDirectory(prefix="demo-") as folder:
        write_folder(Path(folder), day)
        load_folder(Path(folder), at=at)
    base = Base.objects.get(code=row["base"])
    live(at, day, employ(base, day))
    return base, day
