"""Databases of any size in real files, with the project's own settings, loaded by a process of their own."""

import json
import os
import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper

from tests.bench.big_base import write_big_base

HOME = Path(__file__).resolve().parent.parent.parent


@dataclass(frozen=True, slots=True)
class Measured:
    """What a process of its own took: seconds without its start, and its peak memory, which Linux
    never gives as less than that of the process it was started from."""

    seconds: float
    peak_mb: float


def in_a_process(what: str, database: Path, *args: str) -> Measured:
    """Runs one of the acts of tests/bench/measured.py on a database."""
    command = [sys.executable, "-W", "error", "-m", "tests.bench.measured", what, *args]
    env = os.environ | {"FETTLE_DATABASE_URL": f"sqlite:///{database}"}
    done = subprocess.run(command, cwd=HOME, env=env, check=True, capture_output=True, text=True)
    return Measured(**json.loads(done.stdout))


@dataclass
class Shelf:
    """Folders and the databases loaded from them, by how many boats they have; each made once."""

    home: Path
    _open: dict[Path, BaseDatabaseWrapper] = field(default_factory=dict)

    def folder(self, boats: int) -> Path:
        path = self.home / f"{boats}-boats"
        return path if path.exists() else write_big_base(path, boats)

    def database(self, boats: int) -> Path:
        path = self.home / f"{boats}.sqlite3"
        if not path.exists():
            self.load(boats, path)
        return path

    def copy(self, boats: int, name: str) -> Path:
        """A copy of its own for what writes into it."""
        path = self.home / f"{name}-{boats}.sqlite3"
        with closing(sqlite3.connect(self.database(boats))) as database:
            database.execute("VACUUM INTO ?", [str(path)])
        return path

    def load(self, boats: int, path: Path) -> Measured:
        """Loads a folder into a database that is not there yet."""
        assert not path.exists(), "loading the same folder again changes nothing, and costs little"
        in_a_process("migrate", path)
        return in_a_process("load", path, str(self.folder(boats)))

    @contextmanager
    def open(self, database: Path) -> Iterator[BaseDatabaseWrapper]:
        """Lets Django read and write a database meanwhile. Its connection stays open in between:
        opening one is no part of what is measured."""
        before = connections["default"]
        if database not in self._open:
            settings = before.settings_dict | {"NAME": str(database)}
            self._open[database] = type(before)(settings, "default")
        connections["default"] = self._open[database]
        try:
            yield self._open[database]
        finally:
            connections["default"] = before

    def close(self) -> None:
        for connection in self._open.values():
            connection.close()


def by_hand(database: Path) -> sqlite3.Connection:
    """The same file without Django, with the pragmas that the project sets and its own BEGIN."""
    connection = sqlite3.connect(database, isolation_level=None)
    connection.executescript(connections["default"].settings_dict["OPTIONS"]["init_command"])
    connection.execute("PRAGMA foreign_keys=ON")
    return connection
