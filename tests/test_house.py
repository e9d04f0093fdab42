"""The house holds: rows point down, files are short, templates are used, addresses are named."""

import ast
import re
import subprocess
from itertools import chain
from pathlib import Path

import pytest
from django.apps import apps
from django.conf import settings
from django.template.loader import get_template
from django.urls import get_resolver

HOME: Path = settings.HOME
# Top to bottom; a row of one storey points to its own or a lower one, `|` to its neighbours too.
STOREYS = [
    ["maintenance.turnaround"],
    ["maintenance.release", "maintenance.ordering"],
    ["maintenance.planning"],
    ["maintenance.jobs"],
    ["maintenance.defects", "maintenance.servicing", "maintenance.spares", "maintenance.safety"],
    ["fleet.charters", "fleet.meters"],
    ["fleet.boats"],
    ["fleet.people", "fleet.papers"],
    ["fleet.bases"],
]
LEVEL = {room: len(STOREYS) - n for n, rooms in enumerate(STOREYS) for room in rooms}
OURS = [model for app in ("fleet", "maintenance") for model in apps.get_app_config(app).get_models()]
SOURCES = sorted(
    path
    for app in ("fleet", "maintenance")
    for path in (HOME / app).rglob("*.py")
    if "migrations" not in path.parts
)
TEMPLATES = sorted(
    chain((HOME / "fleet/templates").rglob("*.html"), (HOME / "maintenance/templates").rglob("*.html"))
)


def room_of(model) -> str:
    return ".".join(model.__module__.split(".")[:2])


@pytest.mark.parametrize("model", OURS, ids=lambda m: m.__name__)
def test_a_row_points_sideways_or_down(model):
    for field in model._meta.get_fields():
        if field.is_relation and field.concrete and field.related_model in OURS:
            assert LEVEL[room_of(field.related_model)] <= LEVEL[room_of(model)], (
                f"{model.__name__}.{field.name}"
            )


def test_every_table_stands_in_a_room_of_the_house():
    assert {room_of(model) for model in OURS} <= set(LEVEL)


def test_a_file_is_short_and_says_in_one_sentence_what_it_is():
    for path in SOURCES:
        text = path.read_text(encoding="utf-8")
        assert len(text.splitlines()) <= 400, f"{path}: split it by noun"
        if text.strip():
            said = ast.get_docstring(ast.parse(text))
            assert said, f"{path}: wanted a docstring"
            assert said.split("\n\n")[0].rstrip().endswith("."), f"{path}: wanted a sentence"


def test_most_files_are_under_250_lines():
    long = [path for path in SOURCES if len(path.read_text(encoding="utf-8").splitlines()) > 250]
    assert len(long) <= 3, [str(path) for path in long]


def test_no_module_is_named_for_nothing():
    names = {path.stem for path in SOURCES} | {path.parent.name for path in SOURCES}
    assert not names & {"utils", "helpers", "common", "services", "managers"}


def test_no_ledger_is_changed_in_place():
    """A row is corrected by another: nothing but the ledger itself saves one twice."""
    for path in SOURCES:
        text = path.read_text(encoding="utf-8")
        assert not re.search(
            r"(Reading|Service|StockMove|Fitting|PrintedDate)\.objects[^\n]*\.(update|delete)\(", text
        ), path


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda p: p.name)
def test_a_template_is_used_and_can_be_read(path):
    name = str(path.relative_to(next(p for p in path.parents if p.name == "templates")))
    get_template(name)
    if name in ("403.html", "404.html"):
        return
    assert name.startswith(("fleet/", "maintenance/"))
    users = chain(SOURCES, TEMPLATES)
    assert any(f'"{name}"' in other.read_text(encoding="utf-8") for other in users), f"nobody uses {name}"


def test_every_address_is_named():
    def walk(patterns):
        for pattern in patterns:
            if hasattr(pattern, "url_patterns"):
                yield from walk(pattern.url_patterns)
            else:
                yield pattern

    for pattern in walk(get_resolver().url_patterns):
        assert pattern.name, pattern


def test_nothing_else_stands_at_the_top():
    listed = subprocess.run(["git", "ls-files"], cwd=HOME, capture_output=True, text=True, check=True).stdout
    top = {line.split("/", 1)[0] for line in listed.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "LICENSE", "constraints.txt", "manage.py", "pyproject.toml"}
    allowed |= {"fleet", "maintenance", "tests", "fixtures"}
    assert {name for name in top if not name.startswith(".")} <= allowed
