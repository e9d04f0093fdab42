"""A release's rows as its file holds them, and a database brought to where that release left it."""

import gzip
import json
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from html import unescape
from pathlib import Path
from typing import Any

from django.db import connections, transaction
from django.db.migrations.executor import MigrationExecutor

from fleet.bases.models import Base
from maintenance.release.facts import judged_of
from tests.conftest import FIXTURES
from tests.keeping.books import Shelf, migrate, opened

RELEASES = sorted((FIXTURES / "releases").glob("*.json.gz"))
SECRET = "tryitaboardnothingissecretsm"  # the demo's skipper; an invented way in


def told(file: Path) -> dict[str, Any]:
    """A release's rows, as `fixtures/releases/make.py` wrote them."""
    return json.loads(gzip.decompress(file.read_bytes()))


@contextmanager
def left_by(file: Path, shelf: Shelf) -> Iterator[dict[str, Any]]:
    """A database as a release left its own, open, and what was put into it."""
    release = told(file)
    with opened(shelf.filled(file, lambda: _fill(release))):
        yield release


@contextmanager
def brought_forward(file: Path, shelf: Shelf) -> Iterator[dict[str, Any]]:
    """The same after every migration since, and what the release had put into it."""
    release = told(file)

    def fill() -> None:
        _fill(release)
        migrate()

    with opened(shelf.filled((file, "now"), fill)):
        yield release


def _fill(release: dict[str, Any]) -> None:
    as_it_was(release["migrations"])
    put_in(release["tables"])


def rows_of(tables: dict[str, dict[str, Any]], name: str) -> list[dict[str, Any]]:
    """The rows of a table as the release had it, by their columns."""
    return [dict(zip(tables[name]["columns"], row, strict=True)) for row in tables[name]["rows"]]


def how_boats_stand() -> dict[str, tuple[str, int, int, bool]]:
    """How each boat stands now: the word, how many reasons hold her, how many are let be, whether her
    release fell."""
    base, now = Base.objects.get(), datetime.now().astimezone()
    judged = judged_of(base, on=base.day_of(now), now=now).values()
    stands = {j.boat.code: j.standing for j in judged}
    return {code: (s.word, len(s.reasons), len(s.let_be), s.fell) for code, s in stands.items()}


def said(answer: Any) -> str:
    """What a page says, once it opened."""
    assert answer.status_code == 200, answer
    return unescape(answer.content.decode())


def as_it_was(migrations: list[list[str]]) -> None:
    """Brings an empty database to where a release's migrations brought it."""
    executor = MigrationExecutor(connections["default"])
    executor.migrate([(app, name) for app, name in migrations])


def put_in(tables: dict[str, dict[str, Any]]) -> None:
    """Rows by plain INSERTs, whatever the order of what they name: it all holds in the end."""
    connection = connections["default"]
    with transaction.atomic(), connection.constraint_checks_disabled(), connection.cursor() as cursor:
        for name, table in tables.items():
            columns = ", ".join(f'"{column}"' for column in table["columns"])
            marks = ", ".join(["%s"] * len(table["columns"]))
            if table["rows"]:
                cursor.executemany(f'INSERT INTO "{name}" ({columns}) VALUES ({marks})', table["rows"])
        for sql in connection.ops.sequence_reset_sql(NoStyle(), models_then(connection)):
            cursor.execute(sql)
    connection.check_constraints()


class NoStyle:
    """SQL without colours."""

    def __getattr__(self, _: str):
        return str


def models_then(connection) -> list[type]:
    """The tables as the migrations run so far made them."""
    executor = MigrationExecutor(connection)
    return list(executor.loader.project_state(list(executor.loader.applied_migrations)).apps.get_models())
