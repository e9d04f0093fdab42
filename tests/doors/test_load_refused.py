"""Folders that are refused: each fault is one line that says where, what was found, what is wanted."""

import pytest

from tests.conftest import FIXTURES
from tests.doors.folders import HARBOUR, harbour_with, refused, write_folder

BAD = sorted(path for path in (FIXTURES / "bad").iterdir())
BASE = "base,name,timezone\nquay,Old Quay,Europe/Lisbon\n"
BOATS = "boat,name,base\na,A,quay\nb,B,quay\n"
KNOWN = "or in the book"


@pytest.mark.parametrize("folder", BAD, ids=lambda path: path.name)
def test_every_fault_of_a_bad_folder_is_named_at_once_and_nothing_is_kept(load, folder):
    expected = (folder / "faults.txt").read_text(encoding="utf-8").splitlines()
    assert expected
    assert refused(load, folder) == expected


@pytest.mark.parametrize("folder", BAD, ids=lambda path: path.name)
def test_a_bad_folder_is_refused_with_update_too(load, folder):
    assert refused(load, folder, update=True)


def test_what_rests_on_a_faulty_row_gets_no_fault_for_that(load, tmp_path):
    files = {
        "bases": BASE + "creek,Far Creek,Europe/Nowhere\n",
        "boats": "boat,name,base\na,A,creek\n",
        "meters": "boat,meter\na,main\n",
        "readings": "boat,meter,taken_on,hours\na,main,2026-05-01,1\n",
        "charters": "charter,boat,starts_on,ends_on\nc,a,2026-06-01,2026-06-08\n",
    }
    wanted = "a time zone such as Europe/Lisbon"
    lines = [f'bases.csv row 3, timezone: found "Europe/Nowhere"; wanted {wanted}']
    assert refused(load, write_folder(tmp_path, files)) == lines


def test_a_faulty_row_s_own_faults_are_named_even_where_it_rests_on_another(load, tmp_path):
    files = {
        "bases": BASE,
        "boats": "boat,name,base\na,,quay\n",
        "charters": "charter,boat,starts_on,ends_on\nc,a,2026-06-08,2026-06-01\n",
    }
    assert refused(load, write_folder(tmp_path, files)) == [
        "boats.csv row 2, name: found nothing; wanted a value: this column may not be blank",
        'charters.csv row 2, ends_on: found "2026-06-01"; wanted a day after the charter starts, 2026-06-08',
    ]


def test_an_unreadable_file_is_one_fault_not_one_for_each_row_that_names_it(load, tmp_path):
    files = {
        "bases": BASE,
        "boats": "boat,name,base,colour\na,A,quay,red\n",
        "meters": "boat,meter\na,main\n",
    }
    known = "boat, name, base, design, built, persons, area, fuel_l, water_l"
    assert refused(load, write_folder(tmp_path, files)) == [
        f"boats.csv row 1, colour: found an unknown column; wanted one of {known}"
    ]


def test_what_names_something_nobody_knows_is_a_fault(load, tmp_path):
    files = {"bases": BASE, "boats": BOATS, "meters": "boat,meter\nA,main\n"}
    expected = [f'meters.csv row 2, boat: found "A"; wanted one that stands in boats.csv {KNOWN}']
    assert refused(load, write_folder(tmp_path, files)) == expected


def test_one_typing_slip_in_a_full_folder_is_one_line(load, tmp_path):
    folder = harbour_with(tmp_path / "f", "readings", ("dunlin", "starboard"), {"hours": "55O"})
    assert refused(load, folder) == ['readings.csv row 8, hours: found "55O"; wanted hours such as 1212.4']


def test_a_row_is_numbered_by_the_line_it_begins_on(load, tmp_path):
    rows = 'base,name,timezone\nquay,"Old\nQuay",Europe/Lisbon\n\ncreek,"Far\nCreek",Mars\n'
    (line,) = refused(load, write_folder(tmp_path, {"bases": rows}))
    assert line.startswith('bases.csv row 5, timezone: found "Mars"')


def test_the_same_row_twice_is_a_fault_except_among_readings(load, tmp_path):
    files = {
        "bases": BASE,
        "boats": BOATS,
        "meters": "boat,meter\na,main\na,main\n",
        "readings": "boat,meter,taken_on,hours\na,main,2026-05-01,1\na,main,2026-05-01,1.0\n",
    }
    assert refused(load, write_folder(tmp_path, files)) == [
        "meters.csv row 3, boat: found the same boat and meter as in row 2; wanted each once"
    ]


@pytest.mark.parametrize(
    ("file", "key", "column"),
    [
        ("readings", ("dunlin", "starboard"), "taken_on"),
        ("services", ("imp-2",), "done_on"),
        ("components", ("raft-1",), "fitted_on"),
        ("components", ("raft-1",), "removed_on"),
        ("fittings", ("imp-1",), "fitted_on"),
        ("fittings", ("imp-1",), "removed_on"),
    ],
)
def test_a_fact_dated_after_today_is_refused_wherever_it_stands(load, tmp_path, file, key, column):
    folder = harbour_with(tmp_path / "f", file, key, {column: "2026-05-29"})
    fault = f'{column}: found "2026-05-29"; wanted a day up to today, 2026-05-28'
    assert [line.split(", ", 1)[1] for line in refused(load, folder)] == [fault]


@pytest.mark.parametrize(
    ("file", "key", "column"),
    [
        ("readings", ("dunlin", "starboard"), "taken_on"),
        ("services", ("raft-1",), "done_on"),
        ("components", ("raft-1",), "removed_on"),
    ],
)
def test_a_fact_of_today_is_no_fault(load, tmp_path, file, key, column):
    book = load(harbour_with(tmp_path / "f", file, key, {column: "2026-05-28"}))
    assert book.tallies[f"{file}.csv"].new


def test_hours_while_ashore_between_two_places_are_refused(load, tmp_path):
    folder = harbour_with(tmp_path / "f", "services", ("imp-1",), {"done_on": "2026-04-09"})
    expected = 'services.csv row 2, hours: found "1150"; wanted nothing: it was ashore, removed on 2026-04-01'
    assert refused(load, folder) == [expected]


@pytest.mark.parametrize(
    ("day", "hours"), [("2026-04-01", "1200.5"), ("2026-04-10", "500"), ("2026-04-09", "")]
)
def test_hours_on_the_days_of_a_move_and_none_between_are_taken(load, tmp_path, day, hours):
    folder = harbour_with(tmp_path / "f", "services", ("imp-1",), {"done_on": day, "hours": hours})
    assert load(folder).tallies["services.csv"].new == 3


@pytest.mark.parametrize(
    ("file", "key", "cells", "where"),
    [
        (
            "services",
            ("imp-2",),
            {"hours": "699"},
            "services.csv row 3, hours: found 699 h on 2026-05-01 after 700 h",
        ),
        (
            "components",
            ("imp-1",),
            {"removed_hours": "1149.9"},
            "components.csv row 2, removed_hours: found 1149.9 h on 2026-04-01 after 1150 h",
        ),
        (
            "fittings",
            ("imp-1",),
            {"fitted_hours": "551"},
            "readings.csv row 8, hours: found 550 h on 2026-05-20 after 551 h on 2026-04-10",
        ),
    ],
)
def test_dials_are_held_against_each_other_wherever_they_were_noted(load, tmp_path, file, key, cells, where):
    lines = refused(load, harbour_with(tmp_path / "f", file, key, cells))
    assert len([line for line in lines if line.startswith(where)]) == 1


def test_every_row_is_checked_before_any_is_kept(load, tmp_path):
    """The fault is in the last file read, after thirteen others would have been kept."""
    folder = harbour_with(tmp_path / "f", "stock", ("imp-kit", "dunlin"), {"quantity": "many"})
    (line,) = refused(load, folder)
    assert line == 'stock.csv row 4, quantity: found "many"; wanted a quantity such as 2'


def test_the_good_folder_of_these_tests_is_good(load):
    assert load(HARBOUR).faults == []
