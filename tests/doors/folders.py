"""Folders for the loading tests, made up on the spot, and what a folder left behind."""

import csv
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest
from django.apps import apps
from django.db import connection, transaction

from fleet.exchange.faults import FilesRefused
from tests.conftest import FIXTURES

HARBOUR = FIXTURES / "good" / "harbour"


def write_folder(folder: Path, files: dict[str, str | bytes]) -> Path:
    """A folder of these files, named without their ending."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        data = content if isinstance(content, bytes) else content.encode()
        (folder / f"{name}.csv").write_bytes(data)
    return folder


def harbour_with(folder: Path, file: str, key: tuple[str, ...], cells: dict[str, str]) -> Path:
    """The good harbour with some cells of one row changed; the key is the row's first cells."""
    copytree(HARBOUR, folder)
    path = folder / f"{file}.csv"
    with path.open(encoding="utf-8", newline="") as read:
        reader = csv.DictReader(read)
        rows = list(reader)
        columns = list(reader.fieldnames or ())
    (row,) = [row for row in rows if tuple(row.values())[: len(key)] == key]
    row.update(cells)
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.DictWriter(out, columns)
        writer.writeheader()
        writer.writerows(rows)
    return folder


def everything() -> dict[str, list[dict]]:
    """Every row of every table of ours, link tables too, as it is stored."""
    models = [
        model
        for app in ("fleet", "maintenance")
        for model in apps.get_app_config(app).get_models(include_auto_created=True)
    ]
    with connection.cursor() as cursor:
        return {model._meta.label: _stored(cursor, model._meta) for model in models}


def _stored(cursor: Any, table: Any) -> list[dict]:
    cursor.execute(f'SELECT * FROM "{table.db_table}" ORDER BY "{table.pk.column}"')
    columns = [column[0] for column in cursor.description]
    return [dict(zip(columns, row, strict=True)) for row in cursor.fetchall()]


def refused(load, folder: Path, **options) -> list[str]:
    """The lines printed for a folder that is refused, having left the book as it was."""
    before = everything()
    with pytest.raises(FilesRefused) as caught:
        load(folder, **options)
    assert everything() == before
    return [str(fault) for fault in caught.value.faults]


@contextmanager
def undone() -> Iterator[None]:
    """What is loaded inside is taken back at the end."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)
