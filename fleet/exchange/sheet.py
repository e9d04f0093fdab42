"""One file of a base: its columns, what the book has of it, and how its rows are kept."""

from abc import ABC, abstractmethod
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

from fleet.exchange.cells import Column
from fleet.exchange.faults import Fault, Row
from fleet.meters.rules import Dial

if TYPE_CHECKING:
    from fleet.exchange.book import Book

Key = tuple[Any, ...]
R = TypeVar("R")
AT_A_TIME = 2000  # rows made into objects together


@dataclass
class Tally:
    """What a file came to: rows new, changed and known already."""

    new: int = 0
    changed: int = 0
    same: int = 0


class Sheet(ABC):
    """What each file says for itself; Book does the rest."""

    file: ClassVar[str]
    columns: ClassVar[Mapping[str, Column]]
    key: ClassVar[tuple[str, ...]]
    repeats: ClassVar[bool] = False  # whether a row given twice is one row, not a fault

    def key_of(self, row: Row) -> Key:
        return tuple(row.get(column) for column in self.key)

    @abstractmethod
    def ids(self) -> dict[Key, int]:
        """Keys of the rows that stand in the book already, and their numbers there."""

    def in_book(self, rows: Sequence[Row], ids: Mapping[Key, int]) -> dict[int, Key]:
        """Which rows speak of one in the book, by row number: the key it has there."""
        keys = ((row.number, self.key_of(row)) for row in rows)
        return {number: key for number, key in keys if key in ids}

    def refers(self, row: Row, book: "Book") -> Iterator[Fault]:
        """Finds what a row names, and yields what is wrong with the row on its own."""
        yield from ()

    @abstractmethod
    def known(self, keys: Sequence[Key], book: "Book") -> Mapping[Key, Mapping[str, Any]]:
        """What the book says of rows it has, column by column, as the file would say it."""

    @abstractmethod
    def create(self, rows: Sequence[Row], book: "Book") -> Iterable[int]:
        """Keeps new rows, and gives their numbers in the same order."""

    # Not abstract: a file whose every column is of its key has nothing to change.
    def change(self, row: Row, number: int, columns: Sequence[str], book: "Book") -> None:  # noqa: B027
        """Makes the book's row of a number say what a row says in these columns;
        ValidationError where it cannot."""

    def dials(self, row: Row) -> Iterator[tuple[int, Dial, str]]:
        """Dials that a row gives: the meter's number, the dial, and the column it stands in."""
        yield from ()

    def check(self, rows: Sequence[Row], book: "Book") -> Iterator[Fault]:
        """What is wrong with the rows beside all others, once all are in the book."""
        yield from ()


def given(row: Row, columns: Iterable[str]) -> dict[str, Any]:
    """The cells of those of these columns that the file has."""
    return {column: row[column] for column in columns if column in row.columns}


def in_lots(rows: Sequence[R]) -> Iterator[Sequence[R]]:
    """A few rows at a time, so that few are held as objects together."""
    for start in range(0, len(rows), AT_A_TIME):
        yield rows[start : start + AT_A_TIME]


def as_cell(value: Any) -> str:
    """What the book says, as a file would write it."""
    if value in (None, "", ()) or value is False:
        return "nothing"
    if isinstance(value, tuple):
        return str(value[0]) if isinstance(value[-1], date) else " ".join(value)
    if isinstance(value, Decimal):
        return f"{value.normalize():f}"
    if isinstance(value, time):
        return f"{value:%H:%M}"
    return "yes" if value is True else str(value)
