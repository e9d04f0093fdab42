"""Files nobody meant to write: each is refused in words, in one line, and never by a traceback."""

import os

import pytest

from fleet.bases.models import Base
from fleet.meters.models import Reading
from tests.doors.folders import harbour_with, refused, write_folder

HEADER = "base,name,timezone\n"
QUAY = "quay,Old Quay,Europe/Lisbon\n"
BASE = HEADER + QUAY
METERED = {"bases": BASE, "boats": "boat,name,base\na,A,quay\n", "meters": "boat,meter\na,main\n"}
COLUMNS = "base, name, timezone, phone, workday_minutes, boat_minutes"
QUOTES = "every quote opened at the start of a cell and closed at its end"

SPOILT = {
    "empty": (b"", f"row 1: found an empty file; wanted a header row with {COLUMNS}"),
    "only a byte order mark": (
        b"\xef\xbb\xbf",
        f"row 1: found an empty file; wanted a header row with {COLUMNS}",
    ),
    "only blank lines": (
        b"\n ,, \n\n",
        f"row 1: found an empty file; wanted a header row with {COLUMNS}",
    ),
    "latin 1": (
        BASE.replace("Old", "Žut").encode("iso8859-2"),
        "row 2: found the byte 0xae, which is not UTF-8; wanted a file saved as UTF-8",
    ),
    "UTF-16": (
        BASE.encode("utf-16"),
        "row 1: found the byte 0xff, which is not UTF-8; wanted a file saved as UTF-8",
    ),
    "UTF-16 without its mark": (
        BASE.encode("utf-16-le"),
        "row 1: found a NUL; wanted a file saved as UTF-8",
    ),
    "cut off inside a character": (
        BASE.encode() + "creek,Caf\u00e9".encode()[:-1],
        "row 3: found the byte 0xc3, which is not UTF-8; wanted a file saved as UTF-8",
    ),
    "a NUL": (
        BASE.encode() + b"creek,F\0r,Europe/Lisbon\n",
        "row 3: found a NUL; wanted a file saved as UTF-8",
    ),
    "an unclosed quote": (
        HEADER.encode() + b'quay,"Old Quay,Europe/Lisbon\n' + QUAY.encode(),
        f"row 2: found a row that cannot be read (unexpected end of data); wanted {QUOTES}",
    ),
    "text after a quote": (
        HEADER.encode() + b'quay,"Old" Quay,Europe/Lisbon\n',
        f"row 2: found a row that cannot be read (',' expected after '\"'); wanted {QUOTES}",
    ),
    "a column without a name": (
        b"base,,name,timezone\nquay,,Old Quay,Europe/Lisbon\n",
        f"row 1: found a column without a name; wanted one of {COLUMNS}",
    ),
    "a cell beyond the header": (
        BASE.encode() + b"creek,Far Creek,Europe/Lisbon,x\n",
        "row 3: found 4 cells; wanted 3, as the header has",
    ),
    "a header on its second line": (
        b"\nbase,name,timezone,x\n",
        f"row 2, x: found an unknown column; wanted one of {COLUMNS}",
    ),
}


@pytest.mark.parametrize("case", SPOILT)
def test_a_spoilt_file_is_refused_in_one_line(load, tmp_path, case):
    content, line = SPOILT[case]
    assert refused(load, write_folder(tmp_path, {"bases": content})) == [f"bases.csv {line}"]


def test_a_quote_left_open_over_a_whole_file_is_refused(load, tmp_path):
    content = HEADER + 'quay,"' + QUAY * 10_000
    (line,) = refused(load, write_folder(tmp_path, {"bases": content}))
    assert line.startswith("bases.csv row 2: found a row that cannot be read (field larger than field limit")


HOURS = "hours such as 1212.4"


@pytest.mark.parametrize(
    "cell",
    ["-1", "1e5", "NaN", "sNaN", "Infinity", "1000000", "9" * 30, '"1,234.5"', '"12,5"', "1.2.3", "1 234", "0x1F", "1_000",
     "１２", "٣", "1212.4h", "--1", ".", "+", "½", "=1+1"],
)  # fmt: skip
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


@pytest.mark.parametrize(
    ("cell", "wanted"),
    [("03/04/2026", DAY), ("2026-5-3", DAY), ("20260503", DAY), ("2026-02-29", DAY), ("2026-W18-4", DAY), ("today", DAY),
     ("２０２６-05-01", DAY), ("2026-05-01T10:00", DAY), ("46143", DAY), ("0026-05-01", YEARS), ("9999-12-31", YEARS)],
)  # fmt: skip
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


def test_two_files_saved_one_after_the_other_are_two_byte_order_marks(load, tmp_path):
    (line,) = refused(load, write_folder(tmp_path, {"bases": b"\xef\xbb\xbf\xef\xbb\xbf" + QUAY.encode()}))[
        :1
    ]
    assert line.startswith(r"bases.csv row 1")


def test_a_folder_named_like_a_file_is_refused(load, tmp_path):
    (tmp_path / "bases.csv").mkdir()
    (tmp_path / "x.csv").mkdir()
    lines = refused(load, tmp_path)
    assert lines[0].startswith("x.csv: found an unknown file; wanted one of bases.csv, boats.csv")
    assert lines[1:] == ["bases.csv: found what is not a file; wanted a CSV file"]


def test_a_link_to_nowhere_and_a_pipe_are_refused(load, tmp_path):
    (tmp_path / "bases.csv").symlink_to(tmp_path / "gone.csv")
    os.mkfifo(tmp_path / "boats.csv")
    lines = [f"{name}.csv: found what is not a file; wanted a CSV file" for name in ("bases", "boats")]
    assert refused(load, tmp_path) == lines


def test_a_file_in_capitals_is_not_passed_over(load, tmp_path):
    (line,) = refused(load, write_folder(tmp_path, {"BASES": BASE}))
    assert line.startswith("BASES.csv: found an unknown file; wanted one of bases.csv")


def test_files_that_are_hidden_or_no_csv_are_passed_over(load, tmp_path):
    write_folder(tmp_path, {"bases": BASE, "._bases": b"\x00\x05"})
    (tmp_path / "notes.txt").write_text("not for the book")
    load(tmp_path)
    assert Base.objects.count() == 1


def test_a_folder_without_a_csv_file_is_refused(load, tmp_path):
    (line,) = refused(load, tmp_path)
    assert line.startswith(f"{tmp_path}: found no CSV file; wanted any of bases.csv, boats.csv")
