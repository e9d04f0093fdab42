"""`manage.py due`: which lines it prints, in which form, and what it does not take."""

import csv
import json
from datetime import date, timedelta
from io import StringIO

import pytest
import time_machine
from django.core.management import CommandError, call_command

from maintenance.servicing.models import Due
from tests.doors.folders import HARBOUR, harbour_with, write_folder
from tests.reference.random_fleet import write_random_fleet

COLUMNS = [
    "boat", "component", "kind", "interval", "task", "due_on", "governs", "basis", "limit_on", "due_hours",
    "hours_now", "hours_left", "overdue", "before_handover", "recorded", "missing",
]  # fmt: skip
# One part a line, each due 1 month after it was fitted, or later with a `late` of its own.
FITTED = {
    "over": "2026-04-27",
    "today": "2026-04-28",
    "in-7": "2026-05-04",
    "in-8": "2026-05-05",
    "far": "2026-05-20",
}


@pytest.fixture
def due(now):
    """Prints the list at the tests' hour."""

    def run(*args):
        out = StringIO()
        with time_machine.travel(now, tick=False):
            call_command("due", *args, stdout=out)
        return out.getvalue()

    return run


@pytest.fixture
def due_json(due):
    return lambda *args: json.loads(due(*args, "--format", "json"))


@pytest.fixture
def monthly(load, tmp_path):
    """A boat with parts that fall due on, before and after the day of the tests."""
    parts = "".join(f"{name},dunlin,hose,{day}\n" for name, day in FITTED.items())
    files = {
        "bases": "base,name,timezone\nquay,Old Quay,Europe/Lisbon\ncreek,Far Creek,Europe/Lisbon\n",
        "boats": "boat,name,base\ndunlin,Dunlin,quay\n007,Avocet,creek\n",
        "kinds": "kind,name,system\nhose,Hose,fuel\n",
        "components": "component,boat,kind,fitted_on\n" + parts + "other,007,hose,2026-04-01\n",
        "intervals": "interval,kind,task,every_months\nlook,hose,=Look,1\n",
    }
    return load(write_folder(tmp_path / "monthly", files))


def names(lines):
    return [line["component"] for line in lines]


def test_without_more_it_prints_what_is_overdue_or_due_within_seven_days(monthly, due_json):
    assert names(due_json()) == ["other", "over", "today", "in-7"]


@pytest.mark.parametrize(
    ("days", "listed"),
    [
        ("0", ["other", "over", "today"]),
        ("8", ["other", "over", "today", "in-7", "in-8"]),
        ("100000", ["other", "over", "today", "in-7", "in-8", "far"]),
    ],
)
def test_days_says_how_far_ahead_to_look(monthly, due_json, days, listed):
    assert names(due_json("--days", days)) == listed


def test_all_prints_every_line(monthly, due_json):
    assert names(due_json("--all")) == ["other", "over", "today", "in-7", "in-8", "far"]


def test_what_is_due_today_and_no_more_is_not_overdue(monthly, due_json):
    overdue = {line["component"]: line["overdue"] for line in due_json("--all")}
    assert overdue == {
        "other": True,
        "over": True,
        "today": False,
        "in-7": False,
        "in-8": False,
        "far": False,
    }


def test_what_runs_out_before_the_next_charter_is_back_is_listed_however_far_off(
    monthly, load, due_json, tmp_path
):
    rows = "charter,boat,starts_on,ends_on\nc,dunlin,2026-06-01,2026-06-21\n"
    load(write_folder(tmp_path / "c", {"charters": rows}))
    before = {line["component"]: line["before_handover"] for line in due_json()}
    assert before == {"other": False, "over": True, "today": True, "in-7": True, "in-8": True, "far": True}


def test_what_is_good_to_the_day_she_is_back_is_good_for_the_charter(monthly, load, due_json, tmp_path):
    rows = "charter,boat,starts_on,ends_on\nc,dunlin,2026-06-01,2026-06-20\n"
    load(write_folder(tmp_path / "c", {"charters": rows}))
    assert "far" not in names(due_json())


@pytest.mark.parametrize(
    ("args", "listed"),
    [
        (["--base", "creek"], ["other"]),
        (["--boat", "007"], ["other"]),
        (["--base", "quay"], ["over", "today", "in-7"]),
        (["--base", "quay", "--boat", "dunlin", "--days", "0"], ["over", "today"]),
        (["--base", "quay", "--boat", "007"], []),
    ],
)
def test_a_base_or_a_boat_is_asked_for_by_its_code(monthly, due_json, args, listed):
    assert names(due_json(*args)) == listed


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["--base", "QUAY"], '--base: found "QUAY"; wanted one of creek, quay'),
        (["--boat", "7"], '--boat: found "7"; wanted one of 007, dunlin'),
        (["--boat", "7\n8"], r'--boat: found "7\n8"; wanted one of 007, dunlin'),
        (["--on", "28.5.2026"], '--on: found "28.5.2026"; wanted a day such as 2026-05-30'),
        (["--on", "9999-12-31"], '--on: found "9999-12-31"; wanted a day of the years 1900 to 2200'),
        (["--days", "-1"], '--days: found "-1"; wanted a whole number from 0 to 100000'),
        (["--days", "1e9"], '--days: found "1e9"; wanted a whole number from 0 to 100000'),
        (["--format", "xml"], "--format: invalid choice: 'xml' (choose from"),
        (["--all", "--days", "3"], "--days: not allowed with argument --all"),
    ],
)
def test_what_is_not_known_or_makes_no_sense_is_refused_in_words(monthly, due, args, said):
    with pytest.raises(CommandError) as refused:
        due(*args)
    assert said in str(refused.value)


def test_an_empty_book_has_no_base_to_offer(db, due):
    with pytest.raises(CommandError, match="wanted none: the book has none yet"):
        due("--base", "quay")


@pytest.mark.parametrize("form", ["table", "json", "csv"])
def test_an_empty_book_has_an_empty_list(db, due, form):
    printed = due("--all", "--format", form)
    assert {"table": "0 lines", "json": "[]", "csv": ",".join(COLUMNS)}[form] in printed


def test_another_day_is_judged_from_what_was_known_then(monthly, due_json):
    """On 1 May only the parts fitted by then were there, and nothing of them was overdue but one."""
    lines = due_json("--on", "2026-05-01", "--all")
    assert names(lines) == ["other", "over", "today"]
    assert [line["overdue"] for line in lines] == [False, False, False]


def test_json_has_every_column_and_plain_values(load, due_json):
    load(HARBOUR)
    lines = {(line["component"], line["interval"]): line for line in due_json("--all")}
    line = lines["imp-2", "impeller-look"]
    assert list(line) == COLUMNS
    assert (line["boat"], line["hours_now"], line["due_hours"]) == ("dunlin", 900.5, 950.5)
    assert (line["hours_left"], line["recorded"], line["missing"]) == (50.0, True, ["charter"])


def test_csv_has_the_same_lines_as_json_and_runs_no_formula(monthly, due, due_json):
    rows = list(csv.DictReader(StringIO(due("--all", "--format", "csv"))))
    assert list(rows[0]) == COLUMNS
    assert [row["component"] for row in rows] == names(due_json("--all"))
    assert {row["task"] for row in rows} == {"'=Look"}
    assert [row["overdue"] for row in rows[:3]] == ["yes", "yes", ""]


def test_the_table_says_in_words_how_a_line_stands(monthly, due):
    head, columns, first, second, *_ = due().splitlines()
    assert head == "On Thursday 28 May 2026: 4 lines"
    assert columns.split() == ["Due", "Boat", "Component", "Task", "Governs", "Hours", "left"]
    assert first.split() == [
        "2026-05-01",
        "007",
        "other",
        "=Look",
        "calendar",
        "overdue,",
        "never",
        "recorded",
    ]
    assert second.startswith("2026-05-27  dunlin  over")


def test_lines_without_a_day_come_last_and_say_what_they_lack(load, due, tmp_path):
    load(harbour_with(tmp_path / "f", "components", ("raft-1",), {"expires_on": ""}))
    last = due("--all").splitlines()[-1]
    assert last.startswith("no day")
    assert last.endswith("lacks expiry")


def test_today_is_read_from_what_is_stored(monthly, due_json):
    Due.objects.filter(component__code="far").update(due_on=date(2026, 5, 28))
    assert "far" in names(due_json())


@pytest.mark.parametrize("seed", range(3))
def test_today_as_stored_is_what_a_fresh_look_gives(load, now, due_json, tmp_path, seed):
    """Asked for tomorrow at yesterday's clock the list is derived afresh, asked for today it is stored;
    nothing in the book is dated after either, so all that rests on facts is the same."""
    write_random_fleet(tmp_path, seed)
    at = now.replace(year=2026, month=11)
    load(tmp_path, at=at)
    with time_machine.travel(at, tick=False):
        stored = json.loads(_printed("--all", "--format", "json"))
    with time_machine.travel(at - timedelta(days=1), tick=False):
        fresh = json.loads(_printed("--all", "--format", "json", "--on", at.date().isoformat()))
    assert stored
    assert stored == fresh


def _printed(*args):
    out = StringIO()
    call_command("due", *args, stdout=out)
    return out.getvalue()
