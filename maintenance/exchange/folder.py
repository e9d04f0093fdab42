"""A base as a folder of CSV files, taken into the book whole or not at all."""

from datetime import datetime
from pathlib import Path

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.exchange.beside import impossible_dials, two_places
from fleet.exchange.book import Book
from fleet.exchange.charters import Charters
from fleet.exchange.components import Components, Fittings
from fleet.exchange.readings import Readings
from fleet.exchange.register import Bases, Boats, Kinds, Meters
from maintenance.exchange.designs import Allowances
from maintenance.exchange.done import Services, services_left_out
from maintenance.exchange.intervals import Intervals, IntervalSpares
from maintenance.exchange.said import Fits, Insteads, Prices
from maintenance.exchange.spares import Spares
from maintenance.exchange.stock import Stock
from maintenance.servicing.actions import reforecast


class OnlyChecked(Exception):
    """Ends a load that was to be checked only."""


def load_folder(folder: Path, *, at: datetime, update: bool = False, check: bool = False) -> Book:
    """Checks every row of a folder and keeps all of it; FilesRefused names each fault and keeps none.

    `update` lets a known row's new content replace the old; `check` keeps nothing either way.
    """
    book = Book(at, _sheets(), update)
    try:
        with transaction.atomic():
            take_turn()
            book.take(folder)
            book.faults += [*two_places(book), *impossible_dials(book), *services_left_out(book)]
            book.refuse_faults()
            if check:
                raise OnlyChecked
            if any(book.changed(file) for file in book.tallies):
                reforecast(on=book.today)
    except OnlyChecked:
        pass
    return book


def _sheets() -> list:
    return [
        Bases(),
        Boats(),
        Meters(),
        Kinds(),
        Components(),
        Fittings(),
        Readings(),
        Charters(),
        Spares(),
        Fits(),
        Insteads(),
        Prices(),
        Intervals(),
        IntervalSpares(),
        Services(),
        Stock(),
        Allowances(),
    ]
