"""Loading a base's files: which rows are new, changed or known, and what is wrong with them."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from typing import Any, ClassVar

from django.db import transaction

from fleet.bases.models import Base
from fleet.exchange.cells import Column
from fleet.exchange.faults import Fault, FilesRefused, Row
from fleet.exchange.tables import read_table
from fleet.meters.rules import Dial

Key = tuple[Any, ...]


@dataclass
class Tally:
    """What a file came to: rows new, changed and known already."""

    new: int = 0
    changed: int = 0
    same: int = 0


class Sheet:
    """One file of a base: its columns, what the book has of it, and how its rows are kept."""

    file: ClassVar[str]
    columns: ClassVar[Mapping[str, Column]]
    key: ClassVar[tuple[str, ...]]
    repeats: ClassVar[bool] = False  # whether a row given twice is one row, not a fault

    def ids(self) -> dict[Key, int]:
        """Keys of the rows that stand in the book already, and their numbers there."""
        raise NotImplementedError

    def refers(self, row: Row, book: "Book") -> Iterator[Fault]:
        """Finds what a row names, and yields what is wrong with the row on its own."""
        yield from ()

    def known(self, keys: Sequence[Key], book: "Book") -> dict[Key, dict[str, Any]]:
        """What the book says of rows it has, column by column, as the file would say it."""
        raise NotImplementedError

    def create(self, rows: Sequence[Row], book: "Book") -> Iterable[int]:
        """Keeps new rows, and gives their numbers in the same order."""
        raise NotImplementedError

    def change(self, row: Row, columns: Sequence[str], book: "Book") -> None:
        """Makes the book say what a known row says in these columns."""
        raise NotImplementedError

    def check(self, rows: Sequence[Row], book: "Book") -> Iterator[Fault]:
        """What is wrong with the rows beside all others, once all are in the book."""
        yield from ()

    def key_of(self, row: Row) -> Key:
        return tuple(row.get(column) for column in self.key)


@dataclass
class Book:
    """The register as it stands while files are loaded into it."""

    at: datetime
    sheets: Sequence[Sheet]
    update: bool = False
    faults: list[Fault] = field(default_factory=list)
    tallies: dict[str, Tally] = field(default_factory=dict)
    dials: dict[tuple[int, Dial], tuple[Row, str]] = field(default_factory=dict)
    _ids: dict[str, dict[Key, int]] = field(default_factory=dict)
    _refused: dict[str, set[Key]] = field(default_factory=dict)

    @cached_property
    def today(self) -> date:
        """The latest day it is at any base: facts may not be dated after it."""
        days = [base.day_of(self.at) for base in Base.objects.all()]
        return max(days, default=self.at.date())

    def ids(self, file: str) -> dict[Key, int]:
        if file not in self._ids:
            self._ids[file] = next(s for s in self.sheets if s.file == file).ids()
        return self._ids[file]

    def names(self, file: str) -> dict[int, Key]:
        return {number: key for key, number in self.ids(file).items()}

    def find(self, file: str, row: Row, column: str, *key: Any) -> Iterator[Fault]:
        """Puts the number of what a cell names into the row; a fault where nobody knows it."""
        key = key or (row[column],)
        number = self.ids(file).get(key)
        if number is not None:
            row.cells[f"{column}_id"] = number
        elif key in self._refused.get(file, ()):
            raise RestsOnRefused
        else:
            yield row.fault(column, f"one that stands in {file} or in the book")

    def noted(self, row: Row, column: str, day: date | None, *, new_meter: bool = False, noted: bool = True) -> None:
        """Remembers which row gave a dial, for a fault found once all dials are known."""
        if row.get(column) is not None and day is not None:
            dial = Dial(day, row[column], new_meter, noted)
            self.dials[row["meter_id"], dial] = (row, column)

    def not_later(self, row: Row, column: str) -> Iterator[Fault]:
        """A fault where a day lies after today."""
        if row.get(column) is not None and row[column] > self.today:
            yield row.fault(column, f"a day up to today, {self.today}")

    def take(self, folder: Path) -> None:
        """Reads every file there is and keeps its rows; faults are gathered, not raised."""
        tables = {sheet.file: self._read(folder / sheet.file, sheet) for sheet in self._present(folder)}
        for sheet in self.sheets:
            if sheet.file in tables:
                tables[sheet.file] = self._keep(sheet, tables[sheet.file])
        for sheet in self.sheets:
            if sheet.file in tables:
                self.faults += sheet.check(tables[sheet.file], self)

    def _present(self, folder: Path) -> list[Sheet]:
        if not folder.is_dir():
            raise FilesRefused([Fault(str(folder), None, None, "no such folder", "a folder of CSV files")])
        known = {sheet.file: sheet for sheet in self.sheets}
        there = sorted(path.name for path in folder.glob("*.csv"))
        for name in there:
            if name not in known:
                self.faults.append(Fault(name, None, None, "an unknown file", f"one of {', '.join(known)}"))
        if not there:
            self.faults.append(Fault(str(folder), None, None, "no CSV file", f"any of {', '.join(known)}"))
        return [known[name] for name in there if name in known]

    def _read(self, path: Path, sheet: Sheet) -> list[Row]:
        before = len(self.faults)
        rows = read_table(path, sheet.columns, self.faults)
        if len(self.faults) > before:
            self._remember_refused(path, sheet, rows)
        return rows

    def _remember_refused(self, path: Path, sheet: Sheet, rows: list[Row]) -> None:
        """Keys of rows with a fault of their own, so that others naming them do not get one too."""
        loose = {name: Column(lambda cell, _: cell) for name in sheet.columns}
        taken = {row.number for row in rows}
        for row in read_table(path, loose, []):
            if row.number not in taken:
                self._refuse(sheet, row)

    def _refuse(self, sheet: Sheet, row: Row) -> None:
        self._refused.setdefault(sheet.file, set()).add(sheet.key_of(row))

    def _keep(self, sheet: Sheet, rows: list[Row]) -> list[Row]:
        rows = [row for row in self._once(sheet, rows) if self._refers(sheet, row)]
        ids = self.ids(sheet.file)
        fresh = [row for row in rows if sheet.key_of(row) not in ids]
        changed = self._changed(sheet, [row for row in rows if sheet.key_of(row) in ids])
        for row, columns in changed:
            sheet.change(row, columns, self)
        with transaction.atomic():
            for row, number in zip(fresh, sheet.create(fresh, self), strict=True):
                ids[sheet.key_of(row)] = number
        self.tallies[sheet.file] = Tally(len(fresh), len(changed), len(rows) - len(fresh) - len(changed))
        return rows

    def _once(self, sheet: Sheet, rows: list[Row]) -> Iterator[Row]:
        first: dict[Key, Row] = {}
        for row in rows:
            earlier = first.setdefault(sheet.key_of(row), row)
            if earlier is row:
                yield row
            elif not sheet.repeats:
                found = f"the same {' and '.join(sheet.key)} as in row {earlier.number}"
                self.faults.append(row.fault(sheet.key[0], "each once", found))

    def _refers(self, sheet: Sheet, row: Row) -> bool:
        try:
            faults = list(sheet.refers(row, self))
        except RestsOnRefused:
            faults = []
            self._refuse(sheet, row)
            return False
        if faults:
            self._refuse(sheet, row)
        self.faults += faults
        return not faults

    def _changed(self, sheet: Sheet, rows: list[Row]) -> list[tuple[Row, list[str]]]:
        if sheet.repeats or not rows:
            return []
        known = sheet.known([sheet.key_of(row) for row in rows], self)
        differing = ((row, known[sheet.key_of(row)]) for row in rows)
        found = [(row, [c for c in row.written if c in says and row[c] != says[c]], says) for row, says in differing]
        if not self.update:
            self.faults += [self._differs(row, c, says[c]) for row, columns, says in found for c in columns]
        return [(row, columns) for row, columns, _ in found if columns]

    @staticmethod
    def _differs(row: Row, column: str, says: Any) -> Fault:
        says = says[0] if isinstance(says, tuple) else "nothing" if says in (None, "") else says
        return row.fault(column, f"{says}, as the book has it, or --update")

    def refuse_faults(self) -> None:
        """Raises FilesRefused where there is any fault."""
        if self.faults:
            raise FilesRefused(sorted(self.faults, key=_reading_order(self.sheets)))


class RestsOnRefused(LookupError):
    """A row names another that has a fault of its own."""


def _reading_order(sheets: Sequence[Sheet]) -> Any:
    order = Counter({sheet.file: n for n, sheet in enumerate(sheets)})
    return lambda fault: (order[fault.file], fault.file, fault.row or 0, fault.column or "")
