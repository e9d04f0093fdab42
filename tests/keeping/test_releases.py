"""The books of every release before this one are brought forward, each with all it held."""

import gzip
import json
from datetime import datetime
from io import StringIO
from itertools import chain
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.conf import global_settings
from django.core.management import call_command
from django.db import connections, transaction
from django.db.migrations.executor import MigrationExecutor
from django.test import Client

from fleet.boats.models import Kind
from fleet.people.models import Person
from maintenance.servicing.models import ServiceInterval
from tests.conftest import FIXTURES
from tests.keeping.books import every_row

RELEASES = sorted((FIXTURES / "releases").glob("*.json.gz"))
REWRITTEN = {"django_migrations", "django_content_type", "auth_permission", "sqlite_sequence"}


def told(file: Path) -> dict[str, Any]:
    """A release's rows, as `fixtures/releases/make.py` wrote them."""
    return json.loads(gzip.decompress(file.read_bytes()))


@pytest.fixture(params=RELEASES, ids=lambda file: file.name.partition(".")[0])
def release(request, empty) -> dict[str, Any]:
    """A database as that release left it, open, and what was put into it."""
    release = told(request.param)
    as_it_was(release["migrations"])
    put_in(release["tables"])
    return release


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


def forward() -> None:
    call_command("migrate", verbosity=0, interactive=False)


def as_columns(rows: list[tuple], there: list[str], wanted: list[str]) -> list[tuple]:
    return sorted((tuple(row[there.index(column)] for column in wanted) for row in rows), key=repr)


def columns_of(name: str) -> list[str]:
    connection = connections["default"]
    with connection.cursor() as cursor:
        return [column.name for column in connection.introspection.get_table_description(cursor, name)]


def test_the_rows_of_a_release_are_all_there_after_it_is_brought_forward(release):
    before = every_row()
    columns = {name: table["columns"] for name, table in release["tables"].items()}
    there_then = {name: columns_of(name) for name in columns}
    assert {name: len(before[name]) for name in columns} == {
        name: len(table["rows"]) for name, table in release["tables"].items()
    }
    forward()
    after = every_row()
    for name in columns.keys() - REWRITTEN - {"fleet_kind"}:
        kept = as_columns(after[name], columns_of(name), columns[name])
        assert kept == as_columns(before[name], there_then[name], columns[name]), name
    kinds = [column for column in columns["fleet_kind"] if column != "date_required"]
    kept = as_columns(after["fleet_kind"], columns_of("fleet_kind"), kinds)
    assert kept == as_columns(before["fleet_kind"], there_then["fleet_kind"], kinds)


def test_every_migration_has_run_and_none_is_missing(release):
    forward()
    executor = MigrationExecutor(connections["default"])
    assert executor.migration_plan(executor.loader.graph.leaf_nodes()) == []
    connections["default"].check_constraints()


def test_a_kind_whose_task_goes_by_the_printed_date_carries_one(release):
    names = release["tables"]["fleet_kind"]["columns"]
    required = [dict(zip(names, row, strict=True)) for row in release["tables"]["fleet_kind"]["rows"]]
    before = {row["code"] for row in required if row["date_required"]}
    forward()
    by_date = set(
        ServiceInterval.objects.filter(on_expiry=True, kind__isnull=False).values_list(
            "kind__code", flat=True
        )
    )
    assert by_date - before, "the release had none: nothing is shown"
    assert set(Kind.objects.filter(date_required=True).values_list("code", flat=True)) == before | by_date


def test_no_due_line_differs_from_one_derived_afresh(release):
    forward()
    out = StringIO()
    with time_machine.travel(datetime.fromisoformat(release["at"]), tick=False):
        call_command("reforecast", "--check", stdout=out)
    assert out.getvalue() == "No line differs.\n"


def test_its_people_sign_in_with_the_passwords_they_had_and_see_their_week(release, settings):
    settings.PASSWORD_HASHERS = global_settings.PASSWORD_HASHERS
    forward()
    with time_machine.travel(datetime.fromisoformat(release["at"]), tick=False):
        browser = Client()
        sent = {"username": "tome", "password": "pontoon-after-nine"}
        answer = browser.post("/sign-in/", sent, follow=True)
    assert answer.status_code == 200
    assert Person.objects.get(login="tome").name in answer.content.decode()
    assert answer.redirect_chain


def test_what_is_recorded_next_gets_numbers_of_its_own(release):
    forward()
    latest = Kind.objects.latest("pk").pk
    assert Kind.objects.create(code="new-here", name="New here", system="hull").pk > latest


def test_a_release_is_small_and_has_something_of_nearly_everything(request):
    for file in RELEASES:
        assert file.stat().st_size < 500_000
        tables = told(file)["tables"]
        bare = {name for name, table in tables.items() if not table["rows"]}
        assert bare <= {"auth_group", "auth_group_permissions", "django_session", "fleet_paper"}
        assert len(list(chain.from_iterable(table["rows"] for table in tables.values()))) > 5000
