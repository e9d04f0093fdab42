"""What a cell of a base's file may hold, and what is wanted where it does not. Pure."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal, InvalidOperation
from typing import Any

from fleet.boats.dates import DateNotClear, good_through

MOST_HOURS = Decimal("999999.99")
MOST_COUNT = 100_000


class NotWanted(ValueError):
    """A cell that cannot be taken; its text says what is wanted."""


@dataclass(frozen=True, slots=True)
class Column:
    """How a column is read: its parser takes the stripped text and whether commas are decimal."""

    read: Callable[[str, bool], Any]
    needed: bool = False
    blank: Any = None


def text(most: int = 120) -> Callable[[str, bool], str]:
    def read(cell: str, _: bool) -> str:
        if len(cell) > most:
            raise NotWanted(f"at most {most} characters")
        if any(ord(c) < 32 or ord(c) == 127 for c in cell):
            raise NotWanted("text without control characters")
        return cell

    return read


def code(cell: str, commas: bool) -> str:
    """An identifier: text that keeps its leading zeros."""
    return text(64)(cell, commas)


def word(cell: str, commas: bool) -> str:
    """An identifier that others list parted by spaces, so it holds none."""
    if len(cell.split()) != 1:
        raise NotWanted("a code without spaces")
    return code(cell, commas)


def words(cell: str, _: bool) -> tuple[str, ...]:
    return tuple(cell.split())


def day(cell: str, _: bool) -> date:
    if len(cell) == 10:
        try:
            return date.fromisoformat(cell)
        except ValueError:
            pass
    raise NotWanted("a day such as 2026-05-30")


def printed_date(cell: str, _: bool) -> tuple[str, date]:
    """A printed date: as written, and the last day it is good for."""
    try:
        return cell, good_through(cell)
    except DateNotClear as error:
        raise NotWanted(str(error).removeprefix("wanted ")) from error


def time_of_day(cell: str, _: bool) -> time:
    try:
        return time.fromisoformat(cell if len(cell) != 4 else f"0{cell}")
    except ValueError as error:
        raise NotWanted("a time such as 09:00") from error


def month_day(cell: str, _: bool) -> str:
    if len(cell) == 5 and cell[2] == "-":
        try:
            date.fromisoformat(f"2024-{cell}")  # a leap year, so that 02-29 is a day
            return cell
        except ValueError:
            pass
    raise NotWanted("a day of the year such as 10-15")


def number(
    wanted: str, *, least: Decimal = Decimal(0), most: Decimal = MOST_HOURS, places: int = 2, above: bool = False
) -> Callable[[str, bool], Decimal]:
    def read(cell: str, commas: bool) -> Decimal:
        plain = cell.replace(",", ".") if commas and cell.count(",") == 1 and "." not in cell else cell
        try:
            value = Decimal(plain) if all(c in "+-.0123456789" for c in plain) else Decimal("NaN")
        except InvalidOperation as error:
            raise NotWanted(wanted) from error
        if not value.is_finite():
            raise NotWanted(wanted)
        if value < least or value > most or (above and value == least):
            raise NotWanted(wanted)
        if value != round(value, places):
            raise NotWanted(f"{wanted}, with at most {places} decimals")
        return value

    return read


HOURS_WANTED = "hours such as 1212.4"
hours = number(HOURS_WANTED)
some_hours = number("hours above 0, such as 250", above=True)
quantity = number("a quantity such as 2 or 4.5", places=3)
some_quantity = number("a quantity above 0, such as 2 or 4.5", places=3, above=True)


def count(least: int = 1, most: int = MOST_COUNT) -> Callable[[str, bool], int]:
    def read(cell: str, _: bool) -> int:
        if not (cell.isascii() and cell.isdigit()) or not least <= int(cell[:9]) <= most:
            raise NotWanted(f"a whole number from {least} to {most}")
        return int(cell)

    return read


def flag(cell: str, _: bool) -> bool:
    if cell.lower() == "yes":
        return True
    raise NotWanted("yes or blank")


def one_of(*choices: str) -> Callable[[str, bool], str]:
    def read(cell: str, _: bool) -> str:
        if cell not in choices:
            raise NotWanted(" or ".join(choices))
        return cell

    return read
