"""The worked cases that come with the design: every line of every folder as its due.json has it."""

import json
from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command

from maintenance.exchange.due_list import as_json
from maintenance.servicing.listing import due_lines
from tests.conftest import SHARED

CASES = SHARED / "cases"
NAMES = ("fleet-edges", "fleet-random-1", "fleet-random-2")


def known_of(name):
    """The folder of a case, the day asked about and the lines it should give."""
    folder = CASES / name
    on = date.fromisoformat((folder / "on.txt").read_text(encoding="utf-8").strip())
    return folder, on, json.loads((folder / "due.json").read_text(encoding="utf-8"))


def test_no_case_is_left_out():
    assert sorted(path.name for path in CASES.iterdir() if path.is_dir()) == sorted(NAMES)


@pytest.mark.parametrize("name", NAMES)
def test_a_case_gives_every_line_of_its_list_in_order(load, now, name):
    folder, on, expected = known_of(name)
    load(folder)
    lines = due_lines(on=on, today=now.date(), days=None)
    assert expected
    assert json.loads(as_json(lines, on)) == expected


@pytest.mark.parametrize("name", NAMES)
def test_the_command_prints_a_case(load, name):
    folder, on, expected = known_of(name)
    load(folder)
    out = StringIO()
    call_command("due", "--on", on.isoformat(), "--all", "--format", "json", stdout=out)
    assert json.loads(out.getvalue()) == expected


@pytest.mark.parametrize("name", NAMES)
def test_without_all_the_command_prints_what_is_overdue_soon_due_or_before_handover(load, name):
    """The same lines picked from due.json by the rule of the design, section 5."""
    folder, on, expected = known_of(name)
    load(folder)
    out = StringIO()
    call_command("due", "--on", on.isoformat(), "--days", "30", "--format", "json", stdout=out)
    until = date.fromordinal(on.toordinal() + 30).isoformat()
    wanted = [
        line
        for line in expected
        if line["overdue"] or line["before_handover"] or (line["due_on"] or "9999") <= until
    ]
    assert 0 < len(wanted) < len(expected)
    assert json.loads(out.getvalue()) == wanted
