"""A CSV file of a base, read into rows of checked cells."""

import csv
import io
from collections.abc import Iterator, Mapping
from pathlib import Path

from fleet.exchange.cells import Column, NotWanted
from fleet.exchange.faults import Fault, Row


def read_table(path: Path, columns: Mapping[str, Column], faults: list[Fault]) -> list[Row]:
    """The rows of a file; what cannot be read is added to the faults and left out."""
    text = _text(path, faults)
    if text is None:
        return []
    semicolons = _has_semicolons(text)
    lines = csv.reader(io.StringIO(text, newline=""), delimiter=";" if semicolons else ",", strict=True)
    numbered = _numbered(path.name, lines, faults)
    _, header = next(numbered, (0, None))
    if header is None:
        faults.append(Fault(path.name, 1, None, "an empty file", f"a header row with {', '.join(columns)}"))
        return []
    names = _header(path.name, header, columns, faults)
    if names is None:
        return []
    rows = (_row(path.name, n, names, cells, columns, semicolons, faults) for n, cells in numbered)
    return [row for row in rows if row is not None]


def _text(path: Path, faults: list[Fault]) -> str | None:
    data = path.read_bytes()
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        row = data[: error.start].count(b"\n") + 1
        found = f"the byte {data[error.start]:#04x}, which is not UTF-8"
        faults.append(Fault(path.name, row, None, found, "a file saved as UTF-8"))
        return None


def _has_semicolons(text: str) -> bool:
    header = text.lstrip().split("\n", 1)[0]
    return header.count(";") > header.count(",")


def _numbered(
    file: str, lines: Iterator[list[str]], faults: list[Fault]
) -> Iterator[tuple[int, list[str]]]:
    """Rows that hold something, numbered by the line they begin on."""
    begins = 1
    while True:
        try:
            cells = next(lines)
        except StopIteration:
            return
        except csv.Error as error:
            wanted = "rows whose quotes are closed and that hold no NUL"
            faults.append(Fault(file, begins, None, f"a row that cannot be read ({error})", wanted))
            return
        if any(cell.strip() for cell in cells):
            yield begins, [cell.strip() for cell in cells]
        begins = lines.line_num + 1  # type: ignore[attr-defined]


def _header(
    file: str, header: list[str], columns: Mapping[str, Column], faults: list[Fault]
) -> list[str] | None:
    known = ", ".join(columns)
    bad = [Fault(file, 1, name or None, "an unknown column", f"one of {known}") for name in header if name not in columns]
    bad += [Fault(file, 1, name, "the column twice", "it once") for name in set(header) if header.count(name) > 1]
    bad += [
        Fault(file, 1, name, "no such column", "this column")
        for name, column in columns.items()
        if column.needed and name not in header
    ]
    faults += sorted(bad, key=lambda fault: fault.column or "")
    return None if bad else header


def _row(
    file: str,
    number: int,
    names: list[str],
    cells: list[str],
    columns: Mapping[str, Column],
    commas: bool,
    faults: list[Fault],
) -> Row | None:
    if len(cells) > len(names):
        faults.append(Fault(file, number, None, f"{len(cells)} cells", f"{len(names)}, as the header has"))
        return None
    cells = cells + [""] * (len(names) - len(cells))
    row = Row(file, number, {}, dict(zip(names, cells, strict=True)))
    bad = False
    for name, cell in row.written.items():
        try:
            row.cells[name] = _cell(columns[name], cell, commas)
        except NotWanted as error:
            bad = True
            faults.append(row.fault(name, str(error)))
    return None if bad else row


def _cell(column: Column, cell: str, commas: bool) -> object:
    if cell:
        return column.read(cell, commas)
    if column.needed:
        raise NotWanted("a value: this column may not be blank")
    return column.blank
