"""A SQLite database copied while it is in use, and put back."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import quote

from django.core.management.base import CommandError
from django.db import connection

from fleet.management.keeping.rows import fingerprint

KIND = "sqlite"
FILE = "database.sqlite3"


def _here() -> Path:
    return Path(str(connection.settings_dict["NAME"]))


@contextmanager
def _reading(path: Path) -> Iterator[sqlite3.Connection]:
    try:
        with closing(sqlite3.connect(f"file:{quote(str(path))}?mode=ro", uri=True, timeout=20)) as database:
            yield database
    except sqlite3.DatabaseError as error:
        raise CommandError(f"{path}: {error}") from error


@contextmanager
def copied(folder: Path) -> Iterator[tuple[Path, dict[str, Any], list[list[str]]]]:
    """A consistent copy in a folder, checked, with what it holds and the migrations it has had.

    VACUUM INTO reads one moment of the database and lets others write meanwhile, where copying
    pages in steps would start again at every write and never end.
    """
    if not _here().is_file():
        raise CommandError(f"{_here()}: there is no database")
    copy = folder / FILE
    with _reading(_here()) as database:
        database.execute("VACUUM INTO ?", [str(copy)])
    yield copy, looked_over(copy), migrations(copy)


def looked_over(copy: Path) -> dict[str, Any]:
    """What a copy holds, once SQLite finds no fault in it."""
    with _reading(copy) as database:
        faults = [row[0] for row in database.execute("PRAGMA integrity_check(5)")]
    if faults != ["ok"]:
        raise CommandError(f"{copy.name}: SQLite finds it damaged: {'; '.join(faults)}")
    return _tables(copy)


def tables() -> dict[str, Any]:
    """What the database holds now; nothing where there is none."""
    return _tables(_here()) if _here().is_file() else {}


def _tables(path: Path) -> dict[str, Any]:
    with _reading(path) as database:
        database.execute("BEGIN")
        sql = "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\'"
        names = [row[0] for row in database.execute(sql)]
        return {name: _table(database, name) for name in sorted(names)}


def _table(database: sqlite3.Connection, name: str) -> dict[str, Any]:
    rows = database.execute('SELECT * FROM "{}"'.format(name.replace('"', '""')))
    return fingerprint([column[0] for column in rows.description], rows)


def migrations(path: Path) -> list[list[str]]:
    with _reading(path) as database:
        return [list(row) for row in database.execute("SELECT app, name FROM django_migrations ORDER BY id")]


def put_back(copy: Path, told: dict[str, Any]) -> None:
    """Makes the database be the copy, in one transaction: whole, or as it was.

    Into the file that is there, so that a process which has it open reads the new rows too.
    """
    connection.close()
    with _reading(copy) as source, closing(sqlite3.connect(_here(), timeout=20)) as database:
        try:
            source.backup(database)
        except sqlite3.Error as error:
            raise CommandError(f"{_here()}: {error}; it is as it was") from error
