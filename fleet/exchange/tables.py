"""A CSV file of a base, read into rows of checked cells."""

import csv
import io
import re
from codecs import BOM_UTF8, BOM_UTF16_BE, BOM_UTF16_LE
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any
from unicodedata import normalize

from fleet.exchange.cells import Column, NotWanted
from fleet.exchange.faults import Fault, Row

# What a table written for a spreadsheet has before a text that would be run as a formula.
ESCAPED = re.compile(r"'+[=+\-@]")
Numbered = Iterator[tuple[int, list[str]]]


@dataclass
class Table:
    """What a file came to: rows that can be taken, rows with a fault as they were written, and
    whether there may be rows that could not even be told apart."""

    file: str
    rows: list[Row] = field(default_factory=list)
    refused: list[Row] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    whole: bool = True

    def spoilt(self, row: int | None, column: str | None, found: str, wanted: str) -> None:
        """Notes a fault for which the file, or the rest of it, cannot be read."""
        self.faults.append(Fault(self.file, row, column, found, wanted))
        self.whole = False


def read_table(path: Path, columns: Mapping[str, Column]) -> Table:
    """The rows of a file, and the faults of what cannot be read."""
    table = Table(path.name)
    text = _text(path, table)
    if text is None:
        return table
    commas = _has_semicolons(text)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=";" if commas else ",", strict=True)
    numbered = _numbered(lines, table)
    names = _header(numbered, columns, table)
    if names is not None:
        reader = _Reader(names, columns, commas, table)
        for number, cells in numbered:
            reader.take(number, cells)
    return table


def _text(path: Path, table: Table) -> str | None:
    if not path.is_file():
        table.spoilt(None, None, "what is not a file", "a CSV file")
        return None
    try:
        data = path.read_bytes().removeprefix(BOM_UTF8)
    except OSError as error:
        table.spoilt(None, None, f"what cannot be opened ({error.strerror})", "a CSV file")
        return None
    if data.startswith((BOM_UTF16_LE, BOM_UTF16_BE)):
        return _wide(data, table)
    wrong = _not_text(data)
    if wrong is not None:
        table.spoilt(data[:wrong].count(b"\n") + 1, None, _byte(data[wrong]), "a file saved as UTF-8")
        return None
    return data.decode()


def _wide(data: bytes, table: Table) -> str | None:
    """UTF-16, which some spreadsheets write when asked for Unicode; its mark says which way round."""
    try:
        text = data.decode("utf-16")
    except UnicodeDecodeError as error:
        row = data[: error.start].decode("utf-16", errors="ignore").count("\n") + 1
        table.spoilt(row, None, "what is not UTF-16, though it begins so", "a file saved as UTF-8")
        return None
    if "\0" in text:
        table.spoilt(text[: text.index("\0")].count("\n") + 1, None, _byte(0), "a file saved as UTF-8")
        return None
    return text


def _not_text(data: bytes) -> int | None:
    """Where a file stops being UTF-8; a NUL is how UTF-16 begins to show."""
    try:
        data.decode()
    except UnicodeDecodeError as error:
        return error.start
    return data.index(0) if 0 in data else None


def _byte(byte: int) -> str:
    return f"the byte {byte:#04x}, which is not UTF-8" if byte else "a NUL"


def _has_semicolons(text: str) -> bool:
    header = text.lstrip().split("\n", 1)[0]
    return header.count(";") > header.count(",")


def _numbered(lines: Any, table: Table) -> Numbered:
    """Rows that hold something, numbered by the line they begin on, without blanks at their end."""
    begins = 1
    while True:
        try:
            cells = [_as_meant(cell.strip()) for cell in next(lines)]
        except StopIteration:
            return
        except csv.Error as error:
            wanted = "every quote opened at the start of a cell and closed at its end"
            table.spoilt(begins, None, f"a row that cannot be read ({error})", wanted)
            return
        while cells and not cells[-1]:
            cells.pop()
        if cells:
            yield begins, cells
        begins = lines.line_num + 1


def _as_meant(cell: str) -> str:
    """Without the mark that keeps a spreadsheet from running it, its accents put together one way."""
    return normalize("NFC", cell[1:] if cell[:1] == "'" and ESCAPED.match(cell) else cell)


def _header(numbered: Numbered, columns: Mapping[str, Column], table: Table) -> tuple[str, ...] | None:
    at, names = next(numbered, (1, None))
    if names is None:
        if table.whole:
            table.spoilt(1, None, "an empty file", f"a header row with {', '.join(columns)}")
        return None
    for name, found, wanted in _unfit(names, columns):
        table.spoilt(at, name, found, wanted)
    return tuple(names) if table.whole else None


def _unfit(names: Sequence[str], columns: Mapping[str, Column]) -> Iterator[tuple[str | None, str, str]]:
    one_of = f"one of {', '.join(columns)}"
    for name in dict.fromkeys(names):
        if name not in columns:
            yield name or None, "an unknown column" if name else "a column without a name", one_of
        elif names.count(name) > 1:
            yield name, "the column twice", "it once"
    for name, column in columns.items():
        if column.needed and name not in names:
            yield name, "no such column", "this column"


class _Reader:
    """Reads rows under one header. What a cell was read as is remembered for the next that is
    written alike: files repeat themselves, so that is both quicker and smaller."""

    def __init__(
        self, names: tuple[str, ...], columns: Mapping[str, Column], commas: bool, table: Table
    ) -> None:
        self.names, self.commas, self.table = names, commas, table
        self.columns = [columns[name] for name in names]
        self.seen: list[dict[str, tuple[str, Any]]] = [{} for _ in names]

    def take(self, number: int, cells: list[str]) -> None:
        missing = len(self.names) - len(cells)
        if missing < 0:
            found, wanted = f"{len(cells)} cells", f"{len(self.names)}, as the header has"
            self.table.faults.append(Fault(self.table.file, number, None, found, wanted))
            self._refuse(number, cells[:missing])
            return
        self._read(number, cells + [""] * missing)

    def _read(self, number: int, cells: list[str]) -> None:
        read: dict[str, Any] = {}
        written: list[str] = []
        wrong: list[tuple[str, str]] = []
        for n, name in enumerate(self.names):
            try:
                cell, read[name] = self._cell(n, cells[n])
            except NotWanted as error:
                cell = cells[n]
                wrong.append((name, str(error)))
            written.append(cell)
        row = Row(self.table.file, number, self.names, tuple(written), read)
        if not wrong:
            self.table.rows.append(row)
            return
        self._refuse(number, cells)
        self.table.faults += [row.fault(name, wanted) for name, wanted in wrong]

    def _cell(self, n: int, cell: str) -> tuple[str, Any]:
        known = self.seen[n].get(cell)
        if known is None:
            known = self.seen[n][cell] = cell, self._value(self.columns[n], cell)
        return known

    def _value(self, column: Column, cell: str) -> Any:
        if cell:
            return column.read(cell, self.commas)
        if column.needed:
            raise NotWanted("a value: this column may not be blank")
        return column.blank

    def _refuse(self, number: int, cells: list[str]) -> None:
        as_written = dict(zip(self.names, cells, strict=True))
        self.table.refused.append(Row(self.table.file, number, self.names, tuple(cells), as_written))
