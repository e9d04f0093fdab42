"""A folder held against what the book has already: what the two cannot say together."""

import pytest

from fleet.boats.models import Fitting
from fleet.charters.models import Charter
from fleet.ledger import correction
from tests.doors.folders import HARBOUR, refused, write_folder

CHARTER = "charter,boat,starts_on,leaves_at,ends_on\n"
FITTING = "component,boat,meter,fitted_on,fitted_hours,removed_on,removed_hours\n"
COMPONENT = "component,boat,kind,meter,fitted_on,fitted_hours\n"
READING = "boat,meter,taken_on,hours,new_meter\n"
SERVICE = "component,interval,done_on,hours\n"
LEAVES = "new from 2026-06-05 while 0102 has the boat to 2026-06-06"
MAIN = "(007 main)"


@pytest.mark.parametrize(
    ("file", "rows", "fault"),
    [
        (
            "charters",
            f"{CHARTER}new,007,2026-06-05,,2026-06-12\n",
            f"starts_on: found {LEAVES}; wanted a start on or after 2026-06-06 at 09:00",
        ),
        (
            "charters",
            f"{CHARTER}new,007,2026-05-20,,2026-05-24\n",
            "ends_on: found new to 2026-05-24 while 0101 has the boat from 2026-05-23;"
            " wanted an end up to 2026-05-23 at 17:00",
        ),
        (
            "charters",
            f"{CHARTER}new,007,2026-06-06,08:00,2026-06-08\n",
            "starts_on: found new from 2026-06-06 while 0102 has the boat to 2026-06-06;"
            " wanted a start on or after 2026-06-06 at 09:00",
        ),
        (
            "fittings",
            f"{FITTING}imp-2,007,main,2026-05-01,,,\n",
            "fitted_on: found fitted 2026-05-01 while still fitted since 2025-05-01; wanted a removal first",
        ),
        (
            "fittings",
            f"{FITTING}imp-1,007,main,2026-04-02,,,\n",
            "removed_on: found fitted 2026-04-10 while still fitted since 2026-04-02;"
            " wanted a day up to 2026-04-10",
        ),
        (
            "fittings",
            f"{FITTING}imp-1,007,main,2026-03-31,,2026-04-05,\n",
            "fitted_on: found fitted 2026-03-31 while still fitted since 2025-04-01;"
            " wanted a day on or after 2026-04-01, when it was removed",
        ),
        (
            "readings",
            f"{READING}007,main,2025-10-02,1149,\n",
            f"hours: found 1149 h on 2025-10-02 after 1150 h on 2025-10-01 {MAIN};"
            " wanted 1150 or more, or new_meter yes: a meter does not run backwards",
        ),
        (
            "readings",
            f"{READING}007,main,2025-09-30,1151,\n",
            f"hours: found 1150 h on 2025-10-01 after 1151 h on 2025-09-30 {MAIN};"
            " wanted at most 1150: a meter does not run backwards",
        ),
        (
            "readings",
            f"{READING}007,main,2025-09-30,1101.9,\n",
            f"hours: found 1150 h on 2025-10-01 after 1101.9 h on 2025-09-30 {MAIN};"
            " wanted 1102 or more: no more than 24 h a day, both days counted",
        ),
        (
            "readings",
            f"{READING}007,main,2026-05-20,0,yes\n",
            "new_meter: found new meters at 3.5 h and at 0 h; wanted one new meter on 2026-05-20",
        ),
        (
            "services",
            f"{SERVICE}imp-2,impeller-wash,2026-05-02,949\n",
            "hours: found 949 h on 2026-05-02 after 900.5 h on 2026-05-01 (dunlin port);"
            " wanted at most 948.5: no more than 24 h a day, both days counted",
        ),
        (
            "components",
            f"{COMPONENT}imp-3,dunlin,impeller,port,2026-05-02,900\n",
            "fitted_hours: found 900 h on 2026-05-02 after 900.5 h on 2026-05-01 (dunlin port);"
            " wanted 900.5 or more: a meter does not run backwards",
        ),
        (
            "meters",
            "boat,meter\nwidgeon,main\n",
            'boat: found "widgeon"; wanted one that stands in boats.csv or in the book',
        ),
    ],
)
def test_a_row_that_the_book_contradicts_is_refused(load, tmp_path, file, rows, fault):
    load(HARBOUR)
    expected = [f"{file}.csv row 2, {fault}"]
    assert refused(load, write_folder(tmp_path, {file: rows})) == expected


@pytest.mark.parametrize(
    ("file", "rows"),
    [
        ("charters", f"{CHARTER}new,007,2026-06-06,09:00,2026-06-12\n"),
        ("charters", f"{CHARTER}new,dunlin,2026-05-20,,2026-06-06\n"),
        ("readings", f"{READING}007,main,2025-09-30,1102,\n"),
        ("readings", f"{READING}007,main,2026-05-20,1300,\n"),
        ("readings", f"{READING}007,main,2026-05-21,0,yes\n"),
        ("fittings", f"{FITTING}imp-1,007,,2026-04-01,,2026-04-10,\n"),
        ("services", f"{SERVICE}imp-2,impeller-wash,2026-05-02,948.5\n"),
    ],
)
def test_a_row_that_just_fits_the_book_is_taken(load, tmp_path, file, rows):
    load(HARBOUR)
    assert load(write_folder(tmp_path, {file: rows})).tallies[f"{file}.csv"].new == 1


def test_on_the_day_of_a_new_meter_the_old_one_s_last_reading_comes_first(load, tmp_path):
    load(HARBOUR)
    (line,) = refused(load, write_folder(tmp_path, {"readings": f"{READING}007,main,2026-05-20,1250,\n"}))
    assert "found 1250 h on 2026-05-20 after 1250.5 h on 2026-05-16" in line


def test_a_cancelled_charter_is_in_nobody_s_way(load, tmp_path):
    load(HARBOUR)
    Charter.objects.filter(code="0104").update(cancelled_at="2026-05-01T00:00Z")
    load(write_folder(tmp_path, {"charters": f"{CHARTER}new,dunlin,2026-06-07,,2026-06-12\n"}))
    assert Charter.objects.filter(code="new").exists()


def test_a_first_place_moved_past_a_service_in_the_book_is_refused(load, tmp_path):
    load(HARBOUR)
    rows = (
        "component,boat,kind,meter,fitted_on,serial,position\nimp-2,dunlin,impeller,port,2026-05-02,0007,\n"
    )
    expected = (
        'components.csv row 2, fitted_on: found "2026-05-02";'
        " wanted a day up to 2026-05-01, when impeller-look was done"
    )
    assert refused(load, write_folder(tmp_path, {"components": rows}), update=True) == [expected]


def test_a_first_place_moved_past_the_next_place_is_refused(load, tmp_path):
    load(HARBOUR)
    rows = (
        "component,boat,kind,meter,fitted_on,removed_on,removed_hours\nimp-1,007,impeller,main,2026-04-20,,\n"
    )
    lines = refused(load, write_folder(tmp_path, {"components": rows}), update=True)
    assert (
        'components.csv row 2, fitted_on: found "2026-04-20";'
        " wanted a day up to 2026-04-10, when it was fitted already"
    ) in lines


def test_a_boat_changed_without_her_meter_named_is_a_fault_not_a_crash(load, tmp_path):
    load(HARBOUR)
    rows = "component,boat,kind,fitted_on\nimp-2,007,impeller,2025-05-01\n"
    expected = 'components.csv row 2, boat: found "007"; wanted a meter of the boat it is fitted to'
    assert refused(load, write_folder(tmp_path, {"components": rows}), update=True) == [expected]


def test_what_the_base_moved_since_is_told_apart_from_what_the_file_says(load, now):
    """The pump was removed in the book after the folder was loaded; the folder still has it fitted."""
    load(HARBOUR)
    stay = Fitting.objects.standing().get(component__code="imp-2")
    correction(stay, at=now, removed_on=now.date())
    expected = (
        "components.csv row 3, removed_on: found nothing; wanted 2026-05-28, as the book has it, or --update"
    )
    assert refused(load, HARBOUR) == [expected]
