"""The due list over the API: the same answers as the command's, in pages, by filters, for any day."""

import json
from datetime import date
from io import StringIO

import pytest
from django.core.management import call_command

from tests.cast import TODAY
from tests.doors.api import wrongs

SAME = (
    *("boat", "component", "kind", "interval", "task", "due_on", "governs", "basis", "limit_on"),
    *("due_hours", "hours_now", "hours_left", "overdue", "before_handover", "recorded", "missing"),
)


def told_by_the_command(on: date) -> list[dict]:
    said = StringIO()
    call_command("due", on=on, all=True, base="harbour", format="json", stdout=said)
    return json.loads(said.getvalue())


def by_line(rows: list[dict]) -> dict[tuple[str, str], dict]:
    return {(row["component"], row["interval"]): {name: row[name] for name in SAME} for row in rows}


@pytest.mark.parametrize("on", [TODAY, date(2026, 5, 10), date(2026, 7, 1)])
def test_the_list_is_the_commands_field_by_field(program, on):
    told = program().rows("due/", on=on.isoformat())
    assert by_line(told) == by_line(told_by_the_command(on))
    assert len(told) > 10


@pytest.mark.parametrize("on", [TODAY, date(2026, 7, 1)])
def test_pages_of_any_size_hold_every_line_once_in_one_order(program, on):
    whole = program().rows("due/", on=on.isoformat())
    for size in (1, 3, 7):
        assert program().rows("due/", on=on.isoformat(), page_size=size) == whole
    days = [row["due_on"] or "9999" for row in whole]
    assert days == sorted(days)


@pytest.mark.parametrize("on", [TODAY, date(2026, 7, 1)])
@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("base", "harbour"),
        ("boat", "sandpiper"),
        ("component", "sandpiper-engine-oil"),
        ("kind", "engine-oil"),
        ("system", "engine"),
        ("interval", "change"),
        ("governs", "hours"),
        ("recorded", "false"),
        ("overdue", "true"),
        ("before_handover", "true"),
        ("before_handover", "false"),
    ],
)
def test_a_filter_gives_the_lines_that_say_so_and_no_others(program, on, name, value):
    whole = program().rows("due/", on=on.isoformat())
    wanted = {"true": True, "false": False}.get(value, value)
    found = program().rows("due/", **{"on": on.isoformat(), name: value})
    assert found == [row for row in whole if row[name] == wanted]
    assert found or on != TODAY


def test_days_bound_the_list(program):
    whole = [row for row in program().rows("due/") if row["due_on"]]
    middle = whole[len(whole) // 2]["due_on"]
    for name, holds in (("day", str.__eq__), ("from_day", str.__ge__), ("to_day", str.__le__)):
        assert program().rows("due/", **{name: middle}) == [r for r in whole if holds(r["due_on"], middle)]


@pytest.mark.parametrize("on", [TODAY, date(2026, 7, 1)])
@pytest.mark.parametrize("days", [0, 7, 60])
def test_the_list_of_so_many_days_is_the_commands(program, on, days):
    said = StringIO()
    call_command("due", on=on, days=days, base="harbour", format="json", stdout=said)
    assert by_line(program().rows("due/", on=on.isoformat(), days=days)) == by_line(
        json.loads(said.getvalue())
    )


def test_filters_narrow_each_other(program):
    both = program().rows("due/", days=7, overdue="true", before_handover="true")
    assert both == [
        row for row in program().rows("due/", days=7) if row["overdue"] and row["before_handover"]
    ]
    assert both


def test_only_the_names_asked_for_are_told(program):
    rows = program().rows("due/", fields="due_on,boat")
    assert {tuple(row) for row in rows} == {("boat", "due_on")}


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"on": "30.5.2026"}, "on"),
        ({"on": "2026-02-30"}, "on"),
        ({"overdue": "perhaps"}, "overdue"),
        ({"fields": "boat,price"}, "fields"),
        ({"page_size": "0"}, "page_size"),
        ({"page_size": "9" * 30}, "page_size"),
        ({"cursor": "x"}, "cursor"),
        ({"cursor": "WyJhIl0"}, "cursor"),
        ({"boats": "sandpiper"}, "boats"),
        ({"days": "-1"}, "days"),
        ({"days": "week"}, "days"),
        ({"days": "1e30"}, "days"),
        ({"governs": "luck"}, "governs"),
    ],
)
def test_a_slip_in_what_is_asked_is_said_and_named(program, query, field):
    answer = program().get("due/", **query)
    assert answer.status_code == 400
    assert field in wrongs(answer)


def test_another_bases_lines_are_not_seen(program):
    assert {row["base"] for row in program("manager").rows("due/")} == {"harbour"}
    assert {row["boat"] for row in program("stranger").rows("due/")} == {"far-cry"}
    for query in ({"boat": "far-cry"}, {"base": "elsewhere"}):
        assert program().get("due/", **query).status_code == 400
