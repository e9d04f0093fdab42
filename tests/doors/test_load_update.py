"""A known row that says something new: a fault, or with --update the book says it too."""

import csv

import pytest

from maintenance.exchange.due_list import as_json
from maintenance.exchange.folder import _sheets
from maintenance.servicing.listing import due_lines
from tests.doors.folders import HARBOUR, everything, harbour_with, refused, undone
from tests.once_more import once_more

# File, the row's first cells, and what some of its cells say now.
CHANGES = [
    ("bases", ("quay",), {"name": "New Quay"}),
    ("bases", ("quay",), {"timezone": "Atlantic/Azores"}),
    ("bases", ("quay",), {"phone": ""}),
    ("bases", ("quay",), {"workday_minutes": "420"}),
    ("bases", ("quay",), {"boat_minutes": "0"}),
    ("boats", ("007",), {"name": "Avocet II"}),
    ("boats", ("007",), {"base": "creek"}),
    ("boats", ("dunlin",), {"design": "Tern 38"}),
    ("boats", ("007",), {"built": "2020"}),
    ("boats", ("007",), {"persons": ""}),
    ("boats", ("007",), {"area": "offshore", "persons": "6"}),
    ("boats", ("007",), {"fuel_l": ""}),
    ("boats", ("007",), {"water_l": "0"}),
    ("kinds", ("raft",), {"name": "Raft"}),
    ("kinds", ("raft",), {"system": "rescue"}),
    ("components", ("raft-1",), {"boat": "dunlin"}),
    ("components", ("raft-1",), {"kind": "impeller"}),
    ("components", ("raft-1",), {"meter": "main"}),
    ("components", ("raft-1",), {"position": ""}),
    ("components", ("raft-1",), {"serial": "R-2"}),
    ("components", ("raft-1",), {"maker": ""}),
    ("components", ("imp-2",), {"model": "N2-30"}),
    ("components", ("raft-1",), {"fitted_on": "2025-04-02"}),
    ("components", ("imp-2",), {"fitted_hours": "700"}),
    ("components", ("imp-1",), {"fitted_hours": ""}),
    ("components", ("raft-1",), {"expires_on": "12/2028"}),
    ("components", ("raft-1",), {"expires_on": ""}),
    ("components", ("imp-2",), {"expires_on": "2026-06"}),
    ("components", ("imp-2",), {"removed_on": "2026-05-20"}),
    ("components", ("imp-2",), {"removed_on": "2026-05-20", "removed_hours": "901"}),
    ("components", ("imp-1",), {"removed_hours": "1200"}),
    ("fittings", ("imp-1",), {"boat": "007", "meter": "main", "fitted_hours": "1210"}),
    ("fittings", ("imp-1",), {"meter": "", "fitted_hours": ""}),
    ("fittings", ("imp-1",), {"position": "left hand"}),
    ("fittings", ("imp-1",), {"removed_on": "2026-05-20"}),
    ("fittings", ("imp-1",), {"removed_on": "2026-05-20", "removed_hours": "550"}),
    ("intervals", ("impeller-wash",), {"kind": "raft"}),
    ("intervals", ("impeller-wash",), {"kind": "", "component": "imp-2"}),
    ("intervals", ("impeller-replace",), {"task": "Change the impeller"}),
    ("intervals", ("impeller-replace",), {"every_hours": "300"}),
    ("intervals", ("impeller-replace",), {"every_months": ""}),
    ("intervals", ("impeller-replace",), {"first_hours": ""}),
    ("intervals", ("impeller-replace",), {"first_months": "4"}),
    ("intervals", ("impeller-look",), {"every_charters": ""}),
    ("intervals", ("impeller-wash",), {"season_opens": "11-01"}),
    ("intervals", ("impeller-wash",), {"season_closes": "02-29"}),
    ("intervals", ("raft-service",), {"on_expiry": "", "every_months": "36"}),
    ("intervals", ("impeller-replace",), {"counts_from": ""}),
    ("intervals", ("impeller-replace",), {"early_hours": "0"}),
    ("intervals", ("impeller-replace",), {"early_days": ""}),
    ("intervals", ("impeller-replace",), {"late_hours": ""}),
    ("intervals", ("impeller-replace",), {"late_days": "0"}),
    ("intervals", ("impeller-replace",), {"settles": "impeller-wash"}),
    ("intervals", ("impeller-replace",), {"settles": ""}),
    ("intervals", ("impeller-wash",), {"settles": "impeller-replace impeller-look"}),
    ("intervals", ("impeller-replace",), {"critical": ""}),
    ("intervals", ("impeller-look",), {"critical": "yes"}),
    ("intervals", ("impeller-look",), {"in_lay_up": "yes"}),
    ("intervals", ("impeller-replace",), {"minutes": ""}),
    ("intervals", ("impeller-replace",), {"source": ""}),
    ("interval_spares", ("impeller-replace",), {"quantity": "2.5"}),
    ("services", ("imp-1",), {"hours": "1151"}),
    ("services", ("imp-1",), {"hours": ""}),
    ("readings", ("dunlin", "port", "2026-05-01"), {"new_meter": "yes"}),
    ("charters", ("0104",), {"boat": "007"}),
    ("charters", ("0101",), {"starts_on": "2026-05-22"}),
    ("charters", ("0101",), {"leaves_at": ""}),
    ("charters", ("0104",), {"ends_on": "2026-06-27"}),
    ("charters", ("0101",), {"back_at": "10:30"}),
    ("charters", ("0101",), {"berth": ""}),
    ("charters", ("0101",), {"skipper": "S. Quill"}),
    ("charters", ("0101",), {"persons": ""}),
    ("charters", ("0104",), {"cancelled": "yes"}),
    ("charters", ("0103",), {"cancelled": "", "starts_on": "2026-06-20", "ends_on": "2026-06-27"}),
    ("spares", ("imp-kit",), {"name": "Kit"}),
    ("spares", ("imp-kit",), {"kind": ""}),
    ("spares", ("imp-kit",), {"part_number": "9-1"}),
    ("spares", ("imp-kit",), {"unit": ""}),
    ("spares", ("imp-kit",), {"supplier": "Upper Yard"}),
    ("spares", ("imp-kit",), {"lead_days": ""}),
    ("spares", ("imp-kit",), {"maker": "Tolver"}),
    ("spares", ("imp-kit",), {"pack_of": ""}),
    ("spares", ("alt-90",), {"exchange": ""}),
    ("spares", ("0008",), {"superseded_by": ""}),
    ("spares", ("imp-kit",), {"superseded_by": "alt-90"}),
    ("fits", ("imp-kit",), {"source": ""}),
    ("instead", ("imp-kit", "0008"), {"words": "Only with its own gasket"}),
    ("prices", ("imp-kit", "Lower Yard", "2026-01-01", "10"), {"each": "18"}),
    ("prices", ("alt-90",), {"currency": "EUR"}),
    ("allowances", ("Tern 38", "flares"), {"quantity": "6"}),
    ("stock", ("imp-kit", "quay"), {"quantity": "3"}),
    ("stock", ("imp-kit", "007"), {"quantity": "0"}),
    ("stock", ("imp-kit", "quay"), {"allowance": ""}),
    ("stock", ("imp-kit", "quay"), {"allowance": "0"}),
    ("stock", ("0008", "quay"), {"quantity": "1"}),
    ("stock", ("alt-90", "quay"), {"quantity": "0"}),
    ("stock", ("flares", "quay", "", "L-07"), {"quantity": "2"}),
    ("stock", ("flares", "quay", "", ""), {"quantity": "5"}),
]


def each(cases):
    return pytest.mark.parametrize(
        ("file", "key", "cells"),
        cases,
        ids=lambda value: "+".join(value) if isinstance(value, dict) else None,
    )


def some():
    """The first of each kind of file and every third of all; the others are for a whole run."""
    files = [file for file, _, _ in CHANGES]
    for n, change in enumerate(CHANGES):
        now = n % 3 == 0 or files.index(change[0]) == n
        yield pytest.param(*change, marks=[] if now else pytest.mark.long)


def stands(file, key, column):
    """What the harbour's file has in a cell, as a fault names it."""
    with (HARBOUR / f"{file}.csv").open(encoding="utf-8", newline="") as read:
        (row,) = [row for row in csv.DictReader(read) if tuple(row.values())[: len(key)] == key]
    return row[column] or "nothing"


def _differs(file, key, column, cell):
    found = f'"{cell}"' if cell else "nothing"
    return f"{column}: found {found}; wanted {stands(file, key, column)}, as the book has it, or --update"


def test_no_column_of_any_file_is_left_out_above():
    tried = {(f"{file}.csv", column) for file, _, cells in CHANGES for column in cells}
    # A service, reading or later place on another day is another row, so a day is no change to one.
    columns = {(s.file, c) for s in _sheets() for c in s.columns if c not in s.key}
    assert columns - tried == set()
    assert ("readings.csv", "new_meter") in tried


def load_the_harbour(load) -> None:
    """As a person would, the first time; the rows it made, every other."""
    once_more("the good harbour, loaded", lambda: load(HARBOUR) and None)


@each(CHANGES)
def test_without_update_each_changed_cell_is_a_fault(load, tmp_path, file, key, cells):
    load_the_harbour(load)
    lines = refused(load, harbour_with(tmp_path / "new", file, key, cells))
    wanted = {_differs(file, key, column, cell) for column, cell in cells.items()}
    assert all(line.startswith(f"{file}.csv row ") for line in lines)
    assert {line.split(", ", 1)[1] for line in lines} == wanted
    assert len(lines) == len(wanted)


@each(list(some()))
def test_with_update_the_book_says_what_the_file_says_and_lists_what_a_fresh_one_does(
    load, now, tmp_path, file, key, cells
):
    folder = harbour_with(tmp_path / "new", file, key, cells)
    with undone():
        load_the_harbour(load)
        book = load(folder, update=True)
        assert {f: t.changed for f, t in book.tallies.items() if t.new or t.changed} == {f"{file}.csv": 1}
        before, updated = everything(), listed(now)
        load(folder)
        assert everything() == before
    load(folder)
    assert updated == listed(now)


def listed(now):
    return as_json(due_lines(on=now.date(), today=now.date(), days=None), now.date())
