"""What a cell of a base's file may hold, and what is wanted where it does not. Pure."""

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, time
from decimal import Decimal
from typing import Any
from unicodedata import category

from fleet.boats.dates import WANTED as PRINTED_WANTED
from fleet.boats.dates import DateNotClear, good_through

# Digits are 0 to 9 only: others would look the same and sort elsewhere.
DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
MONTH_DAY = re.compile(r"[0-9]{2}-[0-9]{2}")
TIME = re.compile(r"([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?")
NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)")
THOUSANDS = re.compile(r"[+-]?[0-9]{1,3}\.[0-9]{3}")
COUNT = re.compile(r"0*[0-9]{1,9}")
FIRST_YEAR, LAST_YEAR = 1900, 2200  # of what is in use at a base; others are slips of the finger
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
    """Free text; line breaks and tabs in a cell become spaces, for lists show it on one line."""

    def read(cell: str, _: bool) -> str:
        cell = cell if cell.isprintable() else _on_one_line(cell)
        if len(cell) > most:
            raise NotWanted(f"at most {most} characters")
        return cell

    return read


def _on_one_line(cell: str) -> str:
    cell = " ".join(cell.split())
    if any(category(c) == "Cc" for c in cell):
        raise NotWanted("text without control characters")
    return cell


def code(cell: str, commas: bool) -> str:
    """An identifier: text that keeps its leading zeros and shows all it holds."""
    if not cell.isprintable():
        raise NotWanted("a code without line breaks or characters that do not show")
    return text(64)(cell, commas)


def word(cell: str, commas: bool) -> str:
    """An identifier that others list parted by spaces, so it holds none."""
    if len(cell.split()) != 1:
        raise NotWanted("a code without spaces")
    return code(cell, commas)


def words(cell: str, _: bool) -> tuple[str, ...]:
    """Codes parted by spaces; their order says nothing."""
    return tuple(sorted(set(cell.split())))


def day(cell: str, _: bool) -> date:
    try:
        found = date.fromisoformat(cell) if DAY.fullmatch(cell) else None
    except ValueError:
        found = None
    if found is None:
        raise NotWanted("a day such as 2026-05-30")
    if not FIRST_YEAR <= found.year <= LAST_YEAR:
        raise NotWanted(f"a day of the years {FIRST_YEAR} to {LAST_YEAR}")
    return found


def printed_date(cell: str, _: bool) -> tuple[str, date]:
    """A printed date: as written, and the last day it is good for."""
    try:
        if not cell.isascii():
            raise DateNotClear(PRINTED_WANTED)
        return cell, good_through(cell)
    except DateNotClear as error:
        raise NotWanted(str(error).removeprefix("wanted ")) from error


def time_of_day(cell: str, _: bool) -> time:
    match = TIME.fullmatch(cell)
    try:
        if match is not None:
            hour, minute, second = (int(part or 0) for part in match.groups())
            return time(hour, minute, second)
    except ValueError:
        pass
    raise NotWanted("a time such as 09:00")


def month_day(cell: str, _: bool) -> str:
    try:
        if MONTH_DAY.fullmatch(cell):
            date.fromisoformat(f"2024-{cell}")  # a leap year, so that 02-29 is a day
            return cell
    except ValueError:
        pass
    raise NotWanted("a day of the year such as 10-15")


def number(
    wanted: str,
    *,
    least: Decimal = Decimal(0),
    most: Decimal = MOST_HOURS,
    places: int = 2,
    above: bool = False,
) -> Callable[[str, bool], Decimal]:
    def read(cell: str, commas: bool) -> Decimal:
        value = _decimal(cell, commas)
        if value is None or value < least or value > most or (above and value == least):
            raise NotWanted(wanted)
        if value != round(value, places):
            raise NotWanted(f"{wanted}, with at most {places} decimals")
        return value

    return read


def _decimal(cell: str, commas: bool) -> Decimal | None:
    """The number a cell holds: plain digits, no thousands. With decimal commas a point before
    three digits, 1.250, may be either of two numbers, so it is none."""
    if commas and THOUSANDS.fullmatch(cell):
        return None
    plain = cell.replace(",", ".") if commas and "." not in cell else cell
    if NUMBER.fullmatch(plain) is None:
        return None
    return Decimal(plain) or Decimal(0)


HOURS_WANTED = "hours such as 1212.4"
hours = number(HOURS_WANTED)
some_hours = number("hours above 0, such as 250", above=True)
quantity = number("a quantity such as 2 or 4.5", places=3)
some_quantity = number("a quantity above 0, such as 2 or 4.5", places=3, above=True)


def count(least: int = 1, most: int = MOST_COUNT) -> Callable[[str, bool], int]:
    def read(cell: str, _: bool) -> int:
        if COUNT.fullmatch(cell) is None or not least <= int(cell[-9:]) <= most:
            raise NotWanted(f"a whole number from {least} to {most}")
        return int(cell[-9:])

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
