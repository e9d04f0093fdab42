"""What many tests begin with, made for the first of them and put back, row for row, for the others.

It is the same to the last column, at a fifth of the time: the whole suite waited for it. Where tests run
in several processes, one makes it and the others read what that one left in a folder they share.
"""

import fcntl
import pickle
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from copy import deepcopy
from datetime import time
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NamedTuple

from django.apps import apps
from django.conf import settings
from django.core.management.color import no_style
from django.db import connection, transaction
from django.db.models import Model

Rows = dict[str, list[tuple[Any, ...]]]
OURS = ("fleet", "maintenance")


class Made(NamedTuple):
    """What was made: what its maker answered, its rows, and a copy of the papers it kept."""

    answer: Any
    rows: Rows
    papers: Path


_made: dict[object, Made] = {}
_own = TemporaryDirectory(prefix="once-more-")
_shelf = Path(_own.name)


def share(folder: Path) -> None:
    """Where the processes of one run leave what they made for each other."""
    global _shelf
    _shelf = folder / "once-more"
    _shelf.mkdir(exist_ok=True)


def once_more(what: object, make: Callable[[], Any]) -> Any:
    """What `make` makes in the database that is open, and what it answers; `what` names it."""
    if what in _made:
        _put_back(_made[what])
        return deepcopy(_made[what].answer)
    file = _shelf / sha256(f"{connection.vendor} {what!r}".encode()).hexdigest()
    with _one_at_a_time(file):
        if file.exists():
            _made[what] = pickle.loads(file.read_bytes())
            _put_back(_made[what])
        else:
            _made[what] = _first(make, file.with_suffix(".papers"))
            file.write_bytes(pickle.dumps(_made[what]))
    return deepcopy(_made[what].answer)


@contextmanager
def _one_at_a_time(file: Path) -> Iterator[None]:
    with file.with_suffix(".lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _first(make: Callable[[], Any], papers: Path) -> Made:
    before = _rows()
    answer = make()
    after = _rows()
    assert all(set(rows) <= set(after[table]) for table, rows in before.items()), "wanted additions only"
    added = {table: [row for row in rows if row not in before[table]] for table, rows in after.items()}
    _copy(settings.PAPERS, papers)
    return Made(answer, {table: rows for table, rows in added.items() if rows}, papers)


def _rows() -> Rows:
    """Every row of every table of ours, as it is stored."""
    found = {}
    with connection.cursor() as cursor:
        for model in _ours():
            cursor.execute(f'SELECT * FROM "{model._meta.db_table}"')
            found[model._meta.db_table] = [tuple(map(_as_written, row)) for row in cursor.fetchall()]
    return found


def _as_written(value: Any) -> Any:
    """What a driver gives out and will not take in again."""
    return str(value) if isinstance(value, time) else value


def _put_back(made: Made) -> None:
    """In any order: what one row names of another is looked at when the transaction ends."""
    with transaction.atomic(), connection.cursor() as cursor:
        for table, rows in made.rows.items():
            marks = ", ".join(["%s"] * len(rows[0]))
            cursor.executemany(f'INSERT INTO "{table}" VALUES ({marks})', rows)
        for statement in _number_on_from(made):
            cursor.execute(statement)
    _copy(made.papers, settings.PAPERS)


def _number_on_from(made: Made) -> list[str]:
    """PostgreSQL counts for itself: rows put in with their numbers do not move what it gives out next."""
    models = [model for model in _ours() if model._meta.db_table in made.rows]
    return connection.ops.sequence_reset_sql(no_style(), models)


def _ours() -> list[type[Model]]:
    return [model for model in apps.get_models(include_auto_created=True) if model._meta.app_label in OURS]


def _copy(there: str | Path, here: str | Path) -> None:
    if Path(there).is_dir() and any(Path(there).iterdir()):
        shutil.copytree(there, here, dirs_exist_ok=True)
