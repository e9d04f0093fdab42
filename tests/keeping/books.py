"""Databases of a test's own, in real files or on the server, on whichever of the two the run is on."""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from shutil import copyfile
from typing import Any
from urllib.parse import quote

from django.core.management import call_command
from django.db import connection, connections

SQLITE = connection.vendor == "sqlite"


@dataclass
class Shelf:
    """Makes databases, each empty or with its tables made, and removes them in the end."""

    home: Path
    mark: str
    _made: list[str] = field(default_factory=list)
    _filled: dict[object, str] = field(default_factory=dict)

    def empty(self) -> str:
        """A database without a table; its name as the settings want it."""
        name = str(self.home / f"{len(self._made)}.sqlite3") if SQLITE else f"{self.mark}_{len(self._made)}"
        if not SQLITE:
            _on_the_server(f'CREATE DATABASE "{name}"')
        self._made.append(name)
        return name

    def with_tables(self) -> str:
        """A database brought to the head."""
        return self.filled("head", migrate)

    def filled(self, what: object, fill: Callable[[], object]) -> str:
        """A database that was filled so; the first is, the others of the same are its copies."""
        if what not in self._filled:
            name = self.empty()
            with opened(name):
                fill()
            self._filled[what] = name
        return self._copy(self._filled[what])

    def _copy(self, other: str) -> str:
        if not SQLITE:
            name = f"{self.mark}_{len(self._made)}"
            _on_the_server(f'CREATE DATABASE "{name}" TEMPLATE "{other}"')
            self._made.append(name)
            return name
        name = self.empty()
        copyfile(other, name)
        return name

    def remove(self) -> None:
        """Not from a server that is thrown away whole: to drop a hundred of them takes half a minute."""
        for name in () if SQLITE or "FETTLE_SERVER_GOES" in os.environ else self._made:
            _on_the_server(f'DROP DATABASE "{name}" WITH (FORCE)')


def migrate() -> None:
    """Runs every migration the database now open has not had."""
    call_command("migrate", verbosity=0, interactive=False)


def _on_the_server(sql: str) -> None:
    with connection._nodb_cursor() as cursor:
        cursor.execute(sql)


@contextmanager
def opened(name: str) -> Iterator[None]:
    """Lets every connection of this process, its threads' too, lead to a database meanwhile."""
    before, settings = connections["default"], connections.settings["default"]
    connections.settings["default"] = {**settings, "NAME": name}
    del connections["default"]
    try:
        yield
    finally:
        connections["default"].close()
        connections.settings["default"] = settings
        connections["default"] = before


def address() -> str:
    """The database now open, as FETTLE_DATABASE_URL names it to another process."""
    said = connections["default"].settings_dict
    if SQLITE:
        return f"sqlite:///{said['NAME']}"
    who = f"{quote(said['USER'])}:{quote(said['PASSWORD'])}"
    return f"postgres://{who}@{said['HOST']}:{said['PORT']}/{said['NAME']}"


def every_row() -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table as it is stored, Django's own too, read without the program."""
    if SQLITE:
        with closing(sqlite3.connect(connections["default"].settings_dict["NAME"])) as database:
            return _rows(database.cursor())
    with connections["default"].cursor() as cursor:
        return _rows(cursor)


def _rows(cursor: Any) -> dict[str, list[tuple[Any, ...]]]:
    names = (
        "SELECT name FROM sqlite_master WHERE type = 'table'"
        if SQLITE
        else "SELECT tablename FROM pg_tables WHERE schemaname = 'public'"
    )
    cursor.execute(names)
    found = {}
    for (name,) in list(cursor.fetchall()):
        cursor.execute(f'SELECT * FROM "{name}" ORDER BY 1')
        found[name] = [tuple(row) for row in cursor.fetchall()]
    return found
