"""Files nobody meant to write: each is refused in words, in one line, and never by a traceback."""

import os

import pytest

from fleet.bases.models import Base
from maintenance.spares.models import Spare
from tests.doors.folders import refused, write_folder

HEADER = "base,name,timezone\n"
QUAY = "quay,Old Quay,Europe/Lisbon\n"
BASE = HEADER + QUAY
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
    "UTF-16 cut in the middle of a character": (
        BASE.encode("utf-16")[:-1],
        "row 2: found what is not UTF-16, though it begins so; wanted a file saved as UTF-8",
    ),
    "UTF-16 with a NUL": (
        (BASE + "creek,F\0r,Europe/Lisbon\n").encode("utf-16"),
        "row 3: found a NUL; wanted a file saved as UTF-8",
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


@pytest.mark.parametrize("how", ["utf-8", "utf-8-sig", "utf-16", "utf-16-be with its mark"])
def test_however_a_spreadsheet_saved_it_the_letters_and_zeros_are_all_there(load, tmp_path, how):
    """Numbers of parts that look like something else: leading zeros, a power of ten, a day in April."""
    spares = "spare;name;part_number;unit\n0041;Vložak;06E2;each\n3-4;Brtva;3-4;1,5 l\n"
    coded = (
        spares.encode(how) if " " not in how else "\ufeff".encode("utf-16-be") + spares.encode("utf-16-be")
    )
    load(write_folder(tmp_path, {"bases": BASE.encode(), "spares": coded}))
    told = Spare.objects.order_by("code").values_list("code", "name", "part_number", "unit")
    assert list(told) == [("0041", "Vložak", "06E2", "each"), ("3-4", "Brtva", "3-4", "1,5 l")]


def test_a_quote_left_open_over_a_whole_file_is_refused(load, tmp_path):
    content = HEADER + 'quay,"' + QUAY * 10_000
    (line,) = refused(load, write_folder(tmp_path, {"bases": content}))
    assert line.startswith("bases.csv row 2: found a row that cannot be read (field larger than field limit")


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
