"""What is wrong with a base's files, one line a fault. Pure."""

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """One thing to put right: where it stands, what was found there and what is wanted."""

    file: str
    row: int | None
    column: str | None
    found: str
    wanted: str

    def __str__(self) -> str:
        where = self.file + (f" row {self.row}" if self.row else "") + (f", {self.column}" if self.column else "")
        return f"{where}: found {self.found}; wanted {self.wanted}"


class FilesRefused(ValueError):
    """Files with faults: nothing of them was kept."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = faults
        super().__init__(f"{len(faults)} fault{'s' if len(faults) != 1 else ''}; nothing was kept")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a file: its number as an editor shows it, and the cells of the columns there."""

    file: str
    number: int
    cells: dict[str, Any]
    written: dict[str, str]

    def __getitem__(self, column: str) -> Any:
        return self.cells[column]

    def get(self, column: str, default: Any = None) -> Any:
        return self.cells.get(column, default)

    def fault(self, column: str | None, wanted: str, found: str | None = None) -> Fault:
        """A fault of this row; what was found is the cell as written unless told otherwise."""
        if found is None:
            found = f'"{self.written.get(column or "", "")}"' if self.written.get(column or "") else "nothing"
        return Fault(self.file, self.number, column, found, wanted)
