"""A PostgreSQL database copied while it is in use, and put back, by its own client programs."""

import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.db import connection, transaction

from fleet.management.keeping.rows import fingerprint

KIND = "postgresql"
FILE = "database.pgdump"


def _run(program: str, *args: str, connected: bool = True) -> None:
    """Runs one of them; the password goes by its environment, for arguments are seen by anybody."""
    if shutil.which(program) is None:
        raise CommandError(
            f"{program} is not on this machine; on Debian: apt-get install postgresql-client, "
            "of the server's version or later"
        )
    command, secret = [program, *args], None
    if connected:
        where, secret = connection.client.settings_to_cmd_args_env(connection.settings_dict, [])
        command += where[1:]
    env = os.environ | (secret or {}) | {"PGCONNECT_TIMEOUT": "20"}
    done = subprocess.run(command, env=env, capture_output=True, text=True)
    if done.returncode:
        raise CommandError(f"{program}: {done.stderr.strip() or f'ended with {done.returncode}'}")


@contextmanager
def copied(folder: Path) -> Iterator[tuple[Path, dict[str, Any], list[list[str]]]]:
    """A consistent copy in a folder, with what it holds and the migrations it has had: the rows are
    counted in the very snapshot that pg_dump copies; nobody waits for it."""
    copy = folder / FILE
    with _one_moment() as snapshot:
        _run("pg_dump", "--format=custom", f"--snapshot={snapshot}", f"--file={copy}")
        holds, had = _tables(), _migrations()
    _run("pg_restore", "--list", f"--file={os.devnull}", str(copy), connected=False)
    yield copy, holds, had


@contextmanager
def _one_moment() -> Iterator[str]:
    connection.close()
    with transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ, READ ONLY")
        cursor.execute("SELECT pg_export_snapshot()")
        yield cursor.fetchone()[0]


def looked_over(copy: Path) -> None:
    """Refuses a copy that cannot be read to its end; what it holds only a server can say."""
    _run("pg_restore", f"--file={os.devnull}", str(copy), connected=False)


def tables() -> dict[str, Any]:
    """What the database holds now."""
    with _one_moment():
        return _tables()


def _tables() -> dict[str, Any]:
    with connection.cursor() as cursor:
        names = connection.introspection.table_names(cursor)
    return {name: _table(name) for name in sorted(names)}


def _table(name: str) -> dict[str, Any]:
    """A table read by a cursor of the server's, so that no more than a piece of it is in memory."""
    with connection.chunked_cursor() as cursor:
        cursor.execute(f"SELECT * FROM {connection.ops.quote_name(name)}")
        columns = [column[0] for column in cursor.description]
        return fingerprint(columns, iter(cursor))


def _migrations() -> list[list[str]]:
    with connection.cursor() as cursor:
        cursor.execute("SELECT app, name FROM django_migrations ORDER BY id")
        return [list(row) for row in cursor.fetchall()]


def put_back(copy: Path, told: dict[str, Any]) -> None:
    """Makes the database be the copy, in one transaction: whole, or as it was.

    First as a script in a file: a pipe that breaks in the middle would be kept as if it were all.
    """
    script, first = copy.with_suffix(".sql"), copy.with_suffix(".first.sql")
    _run("pg_restore", "--no-owner", "--no-privileges", f"--file={script}", str(copy), connected=False)
    with connection.cursor() as cursor:
        there = connection.introspection.table_names(cursor)
    drops = [f"DROP TABLE {connection.ops.quote_name(name)} CASCADE;\n" for name in there]
    first.write_text("".join(drops), encoding="utf-8")
    connection.close()
    files = (f"--file={first}", f"--file={script}")
    _run("psql", "--no-psqlrc", "--quiet", "--single-transaction", "--set=ON_ERROR_STOP=1", *files)
