"""The books of every release before this one are brought forward, each with all it held."""

from datetime import datetime
from io import StringIO
from itertools import chain
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.conf import global_settings
from django.core.management import call_command
from django.db import connections
from django.db.migrations.executor import MigrationExecutor
from django.test import Client

from fleet.boats.models import Boat, Kind
from fleet.people.models import Person
from maintenance.defects.facts import open_defects
from maintenance.defects.models import ENDINGS, Defect, DefectPaper, DefectStep
from maintenance.servicing.models import ServiceInterval
from tests.keeping.books import every_row, migrate
from tests.keeping.releases import RELEASES, brought_forward, left_by, rows_of, told

REWRITTEN = {"django_migrations", "django_content_type", "auth_permission", "sqlite_sequence"}
PHOTOS = "maintenance_defectpaper"
# What a migration of `maintenance` says otherwise than a release before it; a test of its own says how.
DATES, FIRST = "0003_dates_required", "0005_first_report"
MADE_RIGHT = {
    DATES: {("fleet_kind", "date_required")},
    FIRST: {("maintenance_defectstep", "defect_id"), (PHOTOS, "defect_id")},
}
# Tables of other people's programs that we fill with nothing.
NEVER_FILLED = {
    *("auth_group", "auth_group_permissions"),
    *("axes_accessattemptexpiration", "axes_accessfailurelog", "axes_accesslog"),
}


def with_marks(file: Path) -> Any:
    """A release's tests run in one process, for its books are made once there."""
    name = file.name.partition(".")[0]
    marks = [pytest.mark.xdist_group(f"release {name}")]
    if file != RELEASES[-1]:
        marks.append(pytest.mark.long)
    return pytest.param(file, id=name, marks=marks)


EACH = [with_marks(file) for file in RELEASES]


@pytest.fixture(params=EACH)
def release(request, shelf, django_db_blocker) -> Any:
    """A database as that release left it, open, and what was put into it."""
    with django_db_blocker.unblock(), left_by(request.param, shelf) as release:
        yield release


@pytest.fixture(params=EACH)
def forward(request, shelf, django_db_blocker) -> Any:
    """The same brought forward: what it says is what is tested."""
    with django_db_blocker.unblock(), brought_forward(request.param, shelf) as release:
        yield release


def had(release: dict[str, Any], migration: str) -> bool:
    return ["maintenance", migration] in release["migrations"]


def made_right(release: dict[str, Any]) -> set[tuple[str, str]]:
    """The columns that a migration since says otherwise."""
    return set().union(*(columns for name, columns in MADE_RIGHT.items() if not had(release, name)))


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
    migrate()
    after = every_row()
    right = made_right(release)
    for name in columns.keys() - REWRITTEN:
        told_still = [column for column in columns[name] if (name, column) not in right]
        kept = as_columns(after[name], columns_of(name), told_still)
        assert kept == as_columns(before[name], there_then[name], told_still), name


def firsts(tables: dict[str, dict[str, Any]]) -> dict[int, int]:
    """Which report each one first came in as: itself, but for a correction; one moved to another boat
    begins anew there, and moved back it is the one it was."""
    rows = {row["id"]: row for row in rows_of(tables, "maintenance_defect")}
    return {pk: _same_aboard(pk, rows)[-1] for pk in rows}


def _same_aboard(pk: int, rows: dict[int, dict[str, Any]]) -> list[int]:
    """A report and those it stands for aboard the same boat, the oldest last."""
    found, number = [], pk
    while number is not None:
        found += [number] if rows[number]["boat_id"] == rows[pk]["boat_id"] else []
        number = rows[number]["replaces_id"]
    return found


def of_defects(tables: dict[str, dict[str, Any]], name: str, column: str) -> list[tuple[int, int]]:
    """The defect and one more column of each row of a table, as the release had it."""
    at, wanted = (tables[name]["columns"].index(c) for c in ("defect_id", column))
    return [(row[at], row[wanted]) for row in tables[name]["rows"]]


def test_steps_and_photos_of_a_corrected_report_are_with_the_report_as_it_first_came_in(forward):
    tables = forward["tables"]
    first = firsts(tables)
    steps = of_defects(tables, "maintenance_defectstep", "id")
    papers = of_defects(tables, PHOTOS, "paper_id") if PHOTOS in tables else []
    # A row that takes a report back names no first since FIRST: nothing lies on it.
    named = Defect.objects.exclude(void=True) if had(forward, FIRST) else Defect.objects.all()
    assert {(row.pk, row.case) for row in named} == {(d.pk, first[d.pk]) for d in named}
    assert {(s.defect_id, s.pk) for s in DefectStep.objects.all()} == {(first[d], pk) for d, pk in steps}
    of_case: dict[int, set[int]] = {}
    for defect, paper in papers:
        of_case.setdefault(first[defect], set()).add(paper)
    kept = {(p.defect_id, p.paper_id) for p in DefectPaper.objects.filter(defect__in=of_case)}
    assert kept == {(case, paper) for case, there in of_case.items() for paper in there}
    corrected = [case for row, case in first.items() if row != case]
    assert PHOTOS not in tables or {*corrected} & {*of_case}, "no corrected report had a photo"
    assert PHOTOS not in tables or {*corrected} & {first[d] for d, _ in steps}, "nor a step"
    lay_astray = any(first[d] != d for d, _ in (*steps, *papers))
    assert lay_astray == (PHOTOS in tables and not had(forward, FIRST)), "what FIRST moves"


def test_what_was_ended_or_joined_is_not_open_and_what_was_open_is_with_the_grade_it_had(forward):
    tables = forward["tables"]
    first, ended, graded = firsts(tables), set(), {}
    for step in standing(tables, "maintenance_defectstep"):
        case = first[step["defect_id"]]
        ended |= {case} if step["step"] in ENDINGS else set()
        graded |= {case: step["grade"]} if step.get("grade") else {}
    rows = standing(tables, "maintenance_defect")
    open_then = {row["id"] for row in rows if not row.get("same_as_id") and first[row["id"]] not in ended}
    assert ended
    assert {d.pk for d in Defect.objects.open()} == open_then
    found = open_defects(Boat.objects.values_list("pk", flat=True))
    assert {d.pk: d.grade for d in found} == {pk: graded.get(first[pk], "") for pk in open_then}
    assert bool(graded) == had(forward, FIRST)


def standing(tables: dict[str, dict[str, Any]], name: str) -> list[dict[str, Any]]:
    """The rows of a ledger that no other stands for and that take nothing back, the oldest first."""
    rows = rows_of(tables, name)
    replaced = {row["replaces_id"] for row in rows}
    stands = [row for row in rows if not row["void"] and row["id"] not in replaced]
    return sorted(stands, key=lambda row: row["id"])


def test_every_migration_has_run_and_none_is_missing(forward):
    executor = MigrationExecutor(connections["default"])
    assert executor.migration_plan(executor.loader.graph.leaf_nodes()) == []
    connections["default"].check_constraints()


def test_a_kind_whose_task_goes_by_the_printed_date_carries_one(forward):
    before = {row["code"] for row in rows_of(forward["tables"], "fleet_kind") if row["date_required"]}
    by_date = set(
        ServiceInterval.objects.filter(on_expiry=True, kind__isnull=False).values_list(
            "kind__code", flat=True
        )
    )
    assert by_date <= before if had(forward, DATES) else by_date - before, "nothing is shown"
    assert set(Kind.objects.filter(date_required=True).values_list("code", flat=True)) == before | by_date


def test_no_due_line_differs_from_one_derived_afresh(forward):
    out = StringIO()
    with time_machine.travel(datetime.fromisoformat(forward["at"]), tick=False):
        call_command("reforecast", "--check", stdout=out)
    assert out.getvalue() == "No line differs.\n"


def test_its_people_sign_in_with_the_passwords_they_had_and_see_their_week(forward, settings):
    settings.PASSWORD_HASHERS = global_settings.PASSWORD_HASHERS
    with time_machine.travel(datetime.fromisoformat(forward["at"]), tick=False):
        browser = Client()
        sent = {"username": "tome", "password": "pontoon-after-nine"}
        answer = browser.post("/sign-in/", sent, follow=True)
    assert answer.status_code == 200
    assert Person.objects.get(login="tome").name in answer.content.decode()
    assert answer.redirect_chain


def test_what_is_recorded_next_gets_numbers_of_its_own(forward):
    latest = Kind.objects.latest("pk").pk
    assert Kind.objects.create(code="new-here", name="New here", system="hull").pk > latest


def test_a_release_is_small_and_has_something_of_everything_it_could_hold():
    for file in RELEASES:
        assert file.stat().st_size < 500_000
        tables = told(file)["tables"]
        bare = {name for name, table in tables.items() if not table["rows"]} - NEVER_FILLED
        assert bare <= ({"django_session", "fleet_paper"} if file.name == "1.json.gz" else set())
        assert len(list(chain.from_iterable(table["rows"] for table in tables.values()))) > 5000
