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

from fleet.boats.models import Boat, Kind
from fleet.people.models import Person
from maintenance.defects.facts import open_defects
from maintenance.defects.models import ENDINGS, Defect, DefectPaper, DefectStep
from maintenance.servicing.models import ServiceInterval
from tests.conftest import FIXTURES
from tests.keeping.books import every_row

RELEASES = sorted((FIXTURES / "releases").glob("*.json.gz"))
REWRITTEN = {"django_migrations", "django_content_type", "auth_permission", "sqlite_sequence"}
PHOTOS = "maintenance_defectpaper"
# What a later migration says otherwise than the release did; a test of its own says how.
MADE_RIGHT = {
    "fleet_kind": ["date_required"],
    "maintenance_defectstep": ["defect_id"],
    PHOTOS: ["defect_id"],
}
# Tables of other people's programs that we fill with nothing.
NEVER_FILLED = {
    *("auth_group", "auth_group_permissions"),
    *("axes_accessattemptexpiration", "axes_accessfailurelog", "axes_accesslog"),
}


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
    for name in columns.keys() - REWRITTEN:
        told_still = [column for column in columns[name] if column not in MADE_RIGHT.get(name, ())]
        kept = as_columns(after[name], columns_of(name), told_still)
        assert kept == as_columns(before[name], there_then[name], told_still), name


def firsts(tables: dict[str, dict[str, Any]]) -> dict[int, int]:
    """Which report each one first came in as: itself, but for a correction."""
    names = tables["maintenance_defect"]["columns"]
    rows = [dict(zip(names, row, strict=True)) for row in tables["maintenance_defect"]["rows"]]
    found: dict[int, int] = {}
    for row in sorted(rows, key=lambda row: row["id"]):
        found[row["id"]] = found.get(row["replaces_id"], row["id"])
    return found


def of_defects(tables: dict[str, dict[str, Any]], name: str, column: str) -> list[tuple[int, int]]:
    """The defect and one more column of each row of a table, as the release had it."""
    at, wanted = (tables[name]["columns"].index(c) for c in ("defect_id", column))
    return [(row[at], row[wanted]) for row in tables[name]["rows"]]


def test_steps_and_photos_of_a_corrected_report_are_with_the_report_as_it_first_came_in(release):
    tables = release["tables"]
    first = firsts(tables)
    steps = of_defects(tables, "maintenance_defectstep", "id")
    papers = of_defects(tables, PHOTOS, "paper_id") if PHOTOS in tables else []
    forward()
    assert {(row.pk, row.case) for row in Defect.objects.all()} == set(first.items())
    assert {(s.defect_id, s.pk) for s in DefectStep.objects.all()} == {(first[d], pk) for d, pk in steps}
    of_case: dict[int, set[int]] = {}
    for defect, paper in papers:
        of_case.setdefault(first[defect], set()).add(paper)
    kept = {(p.defect_id, p.paper_id) for p in DefectPaper.objects.filter(defect__in=of_case)}
    assert kept == {(case, paper) for case, there in of_case.items() for paper in there}
    if PHOTOS in tables:
        assert any(first[d] != d for d, _ in steps), "no step lay on a correction: nothing is shown"
        assert any(first[d] != d for d, _ in papers), "no photo lay on a correction: nothing is shown"


def test_what_was_ended_before_is_not_open_and_what_was_open_still_is(release):
    tables = release["tables"]
    ended = ended_then(tables)
    forward()
    assert ended
    assert not Defect.objects.open().filter(pk__in=ended)
    unended = Defect.objects.standing().exclude(pk__in=ended)
    assert set(Defect.objects.open()) == set(unended)
    assert {d.grade for d in open_defects(Boat.objects.values_list("pk", flat=True))} == {""}


def ended_then(tables: dict[str, dict[str, Any]]) -> set[int]:
    """The reports that a step on their own row said the end of, as the release read them."""
    names = tables["maintenance_defectstep"]["columns"]
    rows = [dict(zip(names, row, strict=True)) for row in tables["maintenance_defectstep"]["rows"]]
    replaced = {row["replaces_id"] for row in rows}
    stands = [row for row in rows if not row["void"] and row["id"] not in replaced]
    return {row["defect_id"] for row in stands if row["step"] in ENDINGS}


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
    had_it = ["maintenance", "0003_dates_required"] in release["migrations"]
    assert by_date <= before if had_it else by_date - before, "nothing is shown"
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


def test_a_release_is_small_and_has_something_of_everything_it_could_hold():
    for file in RELEASES:
        assert file.stat().st_size < 500_000
        tables = told(file)["tables"]
        bare = {name for name, table in tables.items() if not table["rows"]} - NEVER_FILLED
        assert bare <= ({"django_session", "fleet_paper"} if file.name == "1.json.gz" else set())
        assert len(list(chain.from_iterable(table["rows"] for table in tables.values()))) > 5000
