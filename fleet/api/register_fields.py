"""Fields of what is kept in a register: codes, names on one line, days and counts as a base has them."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from decimal import Decimal
from typing import Any
from unicodedata import category

from rest_framework import serializers

from fleet.api.fields import CODE_LENGTH, Day, Number, Text, Whole
from fleet.refused import Refused, TooLate

FIRST_YEAR, LAST_YEAR = 1900, 2200  # of what is in use at a base; others are slips of the finger


class Line(Text):
    """Text on one line: line breaks and tabs become spaces, for lists show it so."""

    def to_internal_value(self, data: Any) -> str:
        text = super().to_internal_value(data)
        if not text.isprintable():
            text = " ".join(text.split())
        if any(category(letter) == "Cc" for letter in text):
            raise serializers.ValidationError("wanted text without control characters")
        return text


class Code(Text):
    """A code: text that keeps its leading zeros and shows all it holds."""

    def __init__(self, **more: Any) -> None:
        super().__init__(max_length=CODE_LENGTH, **more)

    def to_internal_value(self, data: Any) -> str:
        text = super().to_internal_value(data)
        if not text.isprintable():
            raise serializers.ValidationError(
                "wanted a code without line breaks or characters that do not show"
            )
        return text


class Word(Code):
    """A code that others list parted by spaces, so it holds none."""

    def to_internal_value(self, data: Any) -> str:
        text = super().to_internal_value(data)
        if len(text.split()) != 1:
            raise serializers.ValidationError("wanted a code without spaces")
        return text


class UsualDay(Day):
    """A day of the years in which anything in use at a base can lie."""

    def to_internal_value(self, value: Any) -> date:
        day: date = super().to_internal_value(value)
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            raise serializers.ValidationError(f"wanted a day of the years {FIRST_YEAR} to {LAST_YEAR}")
        return day


class MonthDay(Text):
    """A day of every year, 29 February among them; blank for none."""

    def __init__(self, **more: Any) -> None:
        super().__init__(max_length=5, allow_blank=True, help_text="MM-DD, such as 10-15", **more)

    def to_internal_value(self, data: Any) -> str:
        text = super().to_internal_value(data)
        try:
            if text:
                date.fromisoformat(f"2024-{text}")  # a leap year, so that 02-29 is a day
        except ValueError as wrong:
            raise serializers.ValidationError("wanted a day of the year such as 10-15") from wrong
        return text


def line(most: int, **more: Any) -> Line:
    """Text that may be left blank."""
    return Line(max_length=most, required=False, allow_blank=True, **more)


def count(least: int, most: int, **more: Any) -> Whole:
    """A whole number that may be left out."""
    return Whole(min_value=least, max_value=most, required=False, allow_null=True, **more)


def some(digits: int, places: int, **more: Any) -> Number:
    """A number above nothing."""
    least = Decimal(1).scaleb(-places)
    return Number(max_digits=digits, decimal_places=places, min_value=least, **more)


@contextmanager
def about(field: str = "", **called: str) -> Iterator[None]:
    """Puts a refusal that is about the whole to the field of the body it came from, and one about a
    field that is called otherwise in the body to that one."""
    try:
        yield
    except Refused as refused:
        name = called.get(refused.field, refused.field) or field
        if name == refused.field:
            raise
        sort = TooLate if isinstance(refused, TooLate) else Refused
        raise sort(f"{name}: {refused.wanted}") from refused
