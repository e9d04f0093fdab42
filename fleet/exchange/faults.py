"""What is wrong with a base's files, one line a fault. Pure."""

from dataclasses import dataclass
from typing import Any

LONGEST_SHOWN = 60


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing to put right: where it stands, what was found there and what is wanted."""

    file: str
    row: int | None
    column: str | None
    found: str
    wanted: str

    def __str__(self) -> str:
        row = f" row {self.row}" if self.row else ""
        column = f", {shown(self.column)}" if self.column else ""
        return on_one_line(f"{self.file}{row}{column}: found {self.found}; wanted {self.wanted}")


class FilesRefused(ValueError):
    """Files with faults: nothing of them was kept."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = faults
        super().__init__(f"{len(faults)} fault{'s' if len(faults) != 1 else ''}; nothing was kept")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a file: the line it begins on, its cells as written under the file's columns,
    and what they were read as."""

    file: str
    number: int
    columns: tuple[str, ...]
    written: tuple[str, ...]
    cells: dict[str, Any]

    def __getitem__(self, column: str) -> Any:
        return self.cells[column]

    def get(self, column: str, default: Any = None) -> Any:
        return self.cells.get(column, default)

    def fault(self, column: str | None, wanted: str, found: str | None = None) -> Fault:
        """A fault of this row; what was found is the cell as written unless told otherwise."""
        return Fault(self.file, self.number, column, found or self._found(column), wanted)

    def _found(self, column: str | None) -> str:
        cell = self.written[self.columns.index(column)] if column in self.columns else ""
        if len(cell) > LONGEST_SHOWN:
            return f'"{shown(cell)}", {len(cell)} characters'
        return f'"{cell}"' if cell else "nothing"


def shown(text: str) -> str:
    """As much of a text as a line has room for."""
    return text if len(text) <= LONGEST_SHOWN else f"{text[:LONGEST_SHOWN]}…"


def on_one_line(text: str) -> str:
    """A text with whatever would break the line or command the terminal spelt out."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else repr(c)[1:-1] for c in text)
