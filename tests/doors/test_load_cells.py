"""Cells nobody meant to write: what is taken, what is not, and how that is said."""

import pytest

from fleet.meters.models import Reading
from tests.doors.folders import harbour_with, refused, write_folder

HEADER = "base,name,timezone\n"
METERED = {
    "bases": f"{HEADER}quay,Old Quay,Europe/Lisbon\n",
    "boats": "boat,name,base\na,A,quay\n",
    "meters": "boat,meter\na,main\n",
}
HOURS = "hours such as 1212.4"


NO_HOURS = (
    *("-1", "1e5", "NaN", "sNaN", "Infinity", "1000000", "9" * 30, "1.2.3", "0x1F", "1_000", "1 234"),
    *("１２", "٣", "½", "1212.4h", "--1", ".", "+", "=1+1", '"1,234.5"', '"12,5"'),
)


@pytest.mark.parametrize("cell", NO_HOURS)
def test_what_is_not_plainly_hours_is_not_hours(load, tmp_path, cell):
    readings = f"boat,meter,taken_on,hours\na,main,2026-05-01,{cell}\n"
    found = cell if cell.startswith('"') else f'"{cell}"'
    expected = f"readings.csv row 2, hours: found {found}; wanted {HOURS}"
    assert refused(load, write_folder(tmp_path, METERED | {"readings": readings})) == [expected]


def test_hundredths_of_an_hour_are_taken_and_less_is_not(load, tmp_path):
    readings = "boat,meter,taken_on,hours\na,main,2026-05-01,1.230\na,main,2026-05-02,1.234\n"
    expected = f'readings.csv row 3, hours: found "1.234"; wanted {HOURS}, with at most 2 decimals'
    assert refused(load, write_folder(tmp_path, METERED | {"readings": readings})) == [expected]


@pytest.mark.parametrize("cell", ["1.250", "1.250,5", "1,2,3"])
def test_thousands_beside_decimal_commas_are_asked_about_never_guessed(load, tmp_path, cell):
    readings = f"boat;meter;taken_on;hours\na;main;2026-05-01;{cell}\n"
    expected = f'readings.csv row 2, hours: found "{cell}"; wanted {HOURS}'
    assert refused(load, write_folder(tmp_path, METERED | {"readings": readings})) == [expected]


@pytest.mark.parametrize("cell", ["999999.99", "+5", "5.", ".5", "0", "-0", "007.10"])
def test_odd_but_plain_numbers_are_taken(load, tmp_path, cell):
    readings = f"boat,meter,taken_on,hours\na,main,2026-05-01,{cell}\n"
    load(write_folder(tmp_path, METERED | {"readings": readings}))
    assert float(Reading.objects.get().dial) == abs(float(cell))


DAY = "a day such as 2026-05-30"
YEARS = "a day of the years 1900 to 2200"


NO_DAYS = (
    *("03/04/2026", "2026-5-3", "20260503", "2026-02-29", "2026-W18-4", "today", "46143"),
    *("２０２６-05-01", "2026-05-01T10:00"),
)


@pytest.mark.parametrize(
    ("cell", "wanted"), [*((cell, DAY) for cell in NO_DAYS), ("0026-05-01", YEARS), ("9999-12-31", YEARS)]
)
def test_what_is_not_plainly_a_day_is_not_a_day(load, tmp_path, cell, wanted):
    readings = f"boat,meter,taken_on,hours\na,main,{cell},1\n"
    expected = f'readings.csv row 2, taken_on: found "{cell}"; wanted {wanted}'
    assert refused(load, write_folder(tmp_path, METERED | {"readings": readings})) == [expected]


@pytest.mark.parametrize("cell", ["24:00", "9", "0900", "09:00Z", "09:00+02:00", "T09:00", "9h", "09:60"])
def test_what_is_not_plainly_a_time_is_not_a_time(load, tmp_path, cell):
    folder = harbour_with(tmp_path / "f", "charters", ("0101",), {"back_at": cell})
    expected = f'charters.csv row 2, back_at: found "{cell}"; wanted a time such as 09:00'
    assert refused(load, folder) == [expected]


@pytest.mark.parametrize("cell", ["3/4/2027", "2027", "13/2027", "Oct '27", "２０２７-06", "2027-02-30"])
def test_a_printed_date_that_could_be_two_days_or_none_is_asked_about(load, tmp_path, cell):
    folder = harbour_with(tmp_path / "f", "components", ("raft-1",), {"expires_on": cell})
    (line,) = refused(load, folder)
    assert line.startswith(
        f'components.csv row 4, expires_on: found "{cell}"; wanted a day such as 2027-06-15'
    )


@pytest.mark.parametrize("cell", ["no", "x", "1", "true"])
def test_a_flag_is_yes_or_blank(load, tmp_path, cell):
    folder = harbour_with(tmp_path / "f", "intervals", ("raft-service",), {"critical": cell})
    assert refused(load, folder) == [f'intervals.csv row 5, critical: found "{cell}"; wanted yes or blank']


def test_a_cell_of_ten_thousand_characters_is_refused_without_printing_them_all(load, tmp_path):
    content = f"{HEADER}quay,{'x' * 10_000},Europe/Lisbon\n"
    (line,) = refused(load, write_folder(tmp_path, {"bases": content}))
    assert (
        line == f'bases.csv row 2, name: found "{"x" * 60}…", 10000 characters; wanted at most 120 characters'
    )


def test_a_control_character_is_refused_and_printed_spelt_out(load, tmp_path):
    content = f"{HEADER}quay,Old\x1b[2J Quay\x07,Europe/Lisbon\n"
    (line,) = refused(load, write_folder(tmp_path, {"bases": content}))
    assert line == (
        r'bases.csv row 2, name: found "Old\x1b[2J Quay\x07"; wanted text without control characters'
    )


@pytest.mark.parametrize("code", ["a\u200bb", "a\u202eb", '"a\nb"', "a\ufeffb", "a\tb"])
def test_a_code_holds_nothing_that_does_not_show(load, tmp_path, code):
    files = METERED | {"boats": f"boat,name,base\n{code},A,quay\n", "meters": "boat,meter\n"}
    (line,) = refused(load, write_folder(tmp_path, files))
    assert line.startswith("boats.csv row 2, boat: found")
    assert line.endswith("wanted a code without line breaks or characters that do not show")
    assert line.isprintable()
