"""The dates of the safety gear over the API: the page's own verdicts, for any day, in pages."""

from datetime import date, timedelta

import pytest

from fleet.bases.models import Base
from maintenance.planning.dated import audit_of
from maintenance.safety.audit import WORST_FIRST
from tests.cast import NOW, TODAY
from tests.doors.api import wrongs


@pytest.fixture
def dated(cast):
    """Rafts that carry a date: one good, one that runs out at sea, one without."""
    kind = cast.part["sandpiper life-raft"].kind
    kind.date_required = True
    kind.save()
    return cast


@pytest.mark.parametrize("on", [TODAY, TODAY + timedelta(days=40), date(2026, 5, 10)])
def test_it_tells_what_the_page_tells(dated, program, on):
    lines = audit_of(Base.objects.get(code="harbour"), on=on, now=NOW).lines
    told = program("manager").rows("audit/", on=on.isoformat())
    assert [(row["component"], row["what"], row["state"], row["through"]) for row in told] == [
        (line.thing.code, line.expected.what, line.state, line.through.day.isoformat()) for line in lines
    ]
    assert len(told) == 3


def test_the_states_are_those_of_the_rafts(dated, program):
    rows = {row["boat"]: row for row in program("manager").rows("audit/", kind="life-raft")}
    assert {boat: row["state"] for boat, row in rows.items()} == {
        "sandpiper": "in date",
        "twice-shy": "runs out",
        "blank-page": "no date",
    }
    assert rows["twice-shy"]["charter"] == "T2"


def test_it_says_how_many_dates_are_recorded_at_all(dated, program):
    page = program("manager").get("audit/").json()
    assert (page["recorded"], page["expected"]) == (2, 3)


def test_pages_of_one_hold_every_line_in_the_same_order(dated, program):
    whole = program("manager").rows("audit/")
    assert program("manager").rows("audit/", page_size=1) == whole
    ranks = [WORST_FIRST.index(row["state"]) for row in whole]
    assert ranks == sorted(ranks)


@pytest.mark.parametrize(
    ("name", "value"), [("boat", "twice-shy"), ("state", "no date"), ("what", "expiry"), ("system", "safety")]
)
def test_a_filter_gives_the_lines_that_say_so(dated, program, name, value):
    whole = program("manager").rows("audit/")
    found = program("manager").rows("audit/", **{name: value})
    assert found == [row for row in whole if row[name] == value]
    assert found


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"on": "soon"}, "on"),
        ({"state": "fine"}, "state"),
        ({"cursor": "WyJhIiwiYiJd"}, "cursor"),
        ({"x": 1}, "x"),
    ],
)
def test_a_slip_is_said_and_named(dated, program, query, field):
    answer = program("manager").get("audit/", **query)
    assert answer.status_code == 400
    assert field in wrongs(answer)


def test_another_bases_dates_are_not_seen(dated, program):
    assert {row["base"] for row in program("manager").rows("audit/")} == {"harbour"}
    assert program("stranger").get("audit/", base="harbour").status_code == 400
