"""Loading a base's files: which rows are new, changed or known, and what is wrong with them."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from pathlib import Path
from typing import Any

from django.core.exceptions import ValidationError

from fleet.bases.models import Base
from fleet.exchange.faults import Fault, FilesRefused, Row
from fleet.exchange.sheet import Key, Sheet, Tally, as_cell
from fleet.exchange.tables import Table, read_table


@dataclass
class Book:
    """The register as it stands while files are loaded into it."""

    at: datetime
    sheets: Sequence[Sheet]
    update: bool = False
    faults: list[Fault] = field(default_factory=list)
    tallies: dict[str, Tally] = field(default_factory=dict)
    rows: dict[str, list[Row]] = field(default_factory=dict)
    _ids: dict[str, dict[Key, int]] = field(default_factory=dict)
    _refused: dict[str, set[Key]] = field(default_factory=dict)
    _unread: set[str] = field(default_factory=set)

    @cached_property
    def today(self) -> date:
        """The latest day it is at any base: facts may not be dated after it."""
        days = [base.day_of(self.at) for base in Base.objects.all()]
        return max(days, default=self.at.date())

    def sheet(self, file: str) -> Sheet:
        return next(sheet for sheet in self.sheets if sheet.file == file)

    def ids(self, file: str) -> dict[Key, int]:
        """Numbers of all rows of a file that stand in the book, by key."""
        if file not in self._ids:
            self._ids[file] = self.sheet(file).ids()
        return self._ids[file]

    def names(self, file: str) -> dict[int, Key]:
        return {number: key for key, number in self.ids(file).items()}

    def changed(self, file: str) -> bool:
        tally = self.tallies.get(file, Tally())
        return bool(tally.new or tally.changed)

    def find(self, file: str, row: Row, column: str, *key: Any) -> Iterator[Fault]:
        """Puts the number of what a cell names into the row. A fault where nobody knows it; none
        where what it names has a fault of its own, but then the row is not kept either."""
        key = key or (row[column],)
        number = self.ids(file).get(key)
        if number is not None:
            row.cells[f"{column}_id"] = number
        elif self.is_refused(file, key):
            row.cells["rests_on_refused"] = True
        else:
            yield row.fault(column, f"one that stands in {file} or in the book")

    def is_refused(self, file: str, key: Key) -> bool:
        """Whether a key may be that of a row with a fault of its own."""
        return file in self._unread or key in self._refused.get(file, ())

    def not_later(self, row: Row, column: str) -> Iterator[Fault]:
        """A fault where a day lies after today."""
        if row.get(column) is not None and row[column] > self.today:
            yield row.fault(column, f"a day up to today, {self.today}")

    def take(self, folder: Path) -> None:
        """Reads every file there is and keeps its rows; faults are gathered, not raised."""
        there = self._present(folder)
        for sheet in there:
            self._read(sheet, read_table(folder / sheet.file, sheet.columns))
        for sheet in self.sheets:
            if sheet.file in self.rows:
                self._keep(sheet)
        for sheet in there:
            self.faults += sheet.check(self.rows[sheet.file], self)

    def _present(self, folder: Path) -> list[Sheet]:
        known = {sheet.file: sheet for sheet in self.sheets}
        there = _csv_files(folder)
        for name in there:
            if name not in known:
                self.faults.append(Fault(name, None, None, "an unknown file", f"one of {', '.join(known)}"))
        if not there:
            self.faults.append(Fault(str(folder), None, None, "no CSV file", f"any of {', '.join(known)}"))
        return [known[name] for name in there if name in known]

    def _read(self, sheet: Sheet, table: Table) -> None:
        self.faults += table.faults
        self.rows[sheet.file] = table.rows
        self._refused[sheet.file] = {sheet.key_of(row) for row in table.refused}
        if not table.whole:
            self._unread.add(sheet.file)

    def _keep(self, sheet: Sheet) -> None:
        ids = self.ids(sheet.file)
        rows = [row for row in self._once(sheet) if self._refers(sheet, row)]
        in_book = sheet.in_book(rows, ids)
        fresh = [row for row in rows if row.number not in in_book]
        changed = list(self._changed(sheet, [row for row in rows if row.number in in_book], in_book))
        for row, columns in changed:
            self._change(sheet, row, ids[in_book[row.number]], columns)
        for row, number in zip(fresh, sheet.create(fresh, self), strict=True):
            ids[sheet.key_of(row)] = number
        self.rows[sheet.file] = rows
        self.tallies[sheet.file] = Tally(len(fresh), len(changed), len(in_book) - len(changed))

    def _once(self, sheet: Sheet) -> Iterator[Row]:
        first: dict[Key, Row] = {}
        for row in self.rows[sheet.file]:
            earlier = first.setdefault(sheet.key_of(row), row)
            if earlier is row:
                yield row
            elif not sheet.repeats:
                key = " and ".join(column for column in sheet.key if column in row.columns)
                found = f"the same {key} as in row {earlier.number}"
                self.faults.append(row.fault(sheet.key[0], "each once", found))

    def _refers(self, sheet: Sheet, row: Row) -> bool:
        faults = list(sheet.refers(row, self))
        if not faults and "rests_on_refused" not in row.cells:
            return True
        self._refused[sheet.file].add(sheet.key_of(row))
        self.faults += faults
        return False

    def _changed(
        self, sheet: Sheet, rows: Sequence[Row], in_book: Mapping[int, Key]
    ) -> Iterator[tuple[Row, list[str]]]:
        """Known rows that say something new, and in which columns; each a fault but for --update."""
        known = sheet.known([in_book[row.number] for row in rows], self) if rows else {}
        for row in rows:
            says = known[in_book[row.number]]
            columns = [c for c in row.columns if c in says and row[c] != says[c]]
            if columns:
                yield row, columns
            if not self.update:
                self.faults += [_differs(row, c, says[c]) for c in columns]

    def _change(self, sheet: Sheet, row: Row, number: int, columns: Sequence[str]) -> None:
        try:
            sheet.change(row, number, columns, self)
        except ValidationError as error:
            for message in error.messages:
                self.faults.append(row.fault(columns[0], message.removeprefix("wanted ")))

    def refuse_faults(self) -> None:
        """Raises FilesRefused where there is any fault."""
        if self.faults:
            raise FilesRefused(sorted(self.faults, key=_reading_order(self.sheets)))


def _csv_files(folder: Path) -> list[str]:
    """Names of the CSV files of a folder; the hidden ones are some other program's."""
    try:
        names = [path.name for path in folder.iterdir() if path.suffix.lower() == ".csv"]
    except OSError as error:
        found = f"no folder that can be read ({error.strerror})"
        raise FilesRefused([Fault(str(folder), None, None, found, "a folder of CSV files")]) from error
    return sorted(name for name in names if not name.startswith("."))


def _differs(row: Row, column: str, says: Any) -> Fault:
    return row.fault(column, f"{as_cell(says)}, as the book has it, or --update")


def _reading_order(sheets: Sequence[Sheet]) -> Callable[[Fault], tuple[int, str, int, str]]:
    order = {sheet.file: n for n, sheet in enumerate(sheets)}
    return lambda fault: (order.get(fault.file, -1), fault.file, fault.row or 0, fault.column or "")
