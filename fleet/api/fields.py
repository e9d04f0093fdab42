"""Fields of what comes in: each says what is wanted, in the trade's numbers and codes."""

import re
from collections.abc import Callable
from datetime import time
from decimal import Decimal
from typing import Any

from django.db import models
from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.caller import Caller
from fleet.boats.models import Boat

MISSING: dict[str, Any] = {"required": "wanted: it was not given", "null": "wanted: null was given"}
CODE_LENGTH = 64
CLOCK = r"[0-9]{2}:[0-9]{2}(:[0-9]{2})?"


def shown(data: Any) -> str:
    """What was found, short and in letters that can be sent back."""
    return str(data)[:CODE_LENGTH].replace("\0", "?").encode("utf-8", "replace").decode()


class Text(serializers.CharField):
    default_error_messages = MISSING | {
        "invalid": "wanted text",
        "blank": "wanted some text",
        "max_length": "wanted at most {max_length} characters",
        "min_length": "wanted at least {min_length} characters",
    }


class Day(serializers.DateField):
    default_error_messages = MISSING | {
        "invalid": "wanted a day such as 2026-05-30",
        "datetime": "wanted a day such as 2026-05-30, without a time",
    }


class Clock(serializers.TimeField):
    """A time by the base's clock; one with a zone of its own would be another."""

    default_error_messages = MISSING | {"invalid": "wanted a time such as 09:00"}

    def to_internal_value(self, value: Any) -> time:
        if not isinstance(value, str) or re.fullmatch(CLOCK, value.strip()) is None:
            self.fail("invalid")
        return super().to_internal_value(value)


class Moment(serializers.DateTimeField):
    default_error_messages = MISSING | {
        "invalid": "wanted an instant such as 2026-05-30T09:00:00Z",
        "date": "wanted an instant such as 2026-05-30T09:00:00Z, not a day",
    }


class Whole(serializers.IntegerField):
    default_error_messages = MISSING | {
        "invalid": "wanted a whole number",
        "max_value": "wanted at most {max_value}",
        "min_value": "wanted at least {min_value}",
        "max_string_length": "wanted a whole number, not so long",
    }


class Number(serializers.DecimalField):
    default_error_messages = MISSING | {
        "invalid": "wanted a number such as 1212.4",
        "max_value": "wanted at most {max_value}",
        "min_value": "wanted at least {min_value}",
        "max_digits": "wanted at most {max_digits} digits",
        "max_decimal_places": "wanted at most {max_decimal_places} decimals",
        "max_whole_digits": "wanted at most {max_whole_digits} digits before the point",
        "max_string_length": "wanted a number, not so long",
    }


class Amount(Number):
    """An amount of money; told as text, taken as text or as a number."""

    def __init__(self, places: int = 4, least: str = "0", **more: Any) -> None:
        digits: dict[str, Any] = {"max_digits": 12, "decimal_places": places, "min_value": Decimal(least)}
        super().__init__(coerce_to_string=True, **digits, **more)


class YesNo(serializers.BooleanField):
    default_error_messages = MISSING | {"invalid": "wanted true or false"}


class OneOf(serializers.ChoiceField):
    default_error_messages = MISSING

    def fail(self, key: str, **kwargs: Any) -> Any:
        if key == "invalid_choice":
            choices = ", ".join(str(choice) for choice in self.choices)
            raise serializers.ValidationError(f"found {shown(kwargs['input'])}; wanted one of {choices}")
        super().fail(key, **kwargs)


class Several(serializers.ListField):
    default_error_messages = MISSING | {
        "not_a_list": "wanted a list",
        "empty": "wanted at least one",
        "max_length": "wanted at most {max_length}",
        "min_length": "wanted at least {min_length}",
    }


def each(body: type[serializers.Serializer], most: int, *, required: bool = True) -> Any:
    """A list of bodies of one sort, at most so many."""
    made: Any = body  # what `many` makes of a body is another class, which the stubs do not know
    return made(many=True, max_length=most, required=required)


Rows = Callable[[Caller], QuerySet[Any]]


class Ref(serializers.Field):
    """A thing of the caller's bases by its code (or number): what is not theirs is not found."""

    default_error_messages = MISSING

    def __init__(self, rows: Rows, *, by: str = "code", **more: Any) -> None:
        self.rows, self.by = rows, by
        super().__init__(**more)

    def to_internal_value(self, data: Any) -> Any:
        wanted = "a number" if self.by == "pk" else "a code"
        if not self._could_be(data):
            raise serializers.ValidationError(f"wanted {wanted}")
        row = self.rows(self.context["caller"]).filter(**{self.by: data}).first()
        if row is None:
            raise serializers.ValidationError(f"found {shown(data)}; wanted {wanted} known at your bases")
        return row

    def _could_be(self, data: Any) -> bool:
        if self.by == "pk":
            return isinstance(data, int) and not isinstance(data, bool) and 0 < data < 2**62
        return isinstance(data, str) and 0 < len(data) <= CODE_LENGTH and data == shown(data)

    def to_representation(self, value: Any) -> Any:
        return getattr(value, self.by)


def boats_of(caller: Caller) -> QuerySet[Boat]:
    """The boats of a caller's bases."""
    return Boat.objects.filter(pk__in=caller.boats)


class Body(serializers.Serializer):
    # What is sent; a name that is not wanted is refused, so that a slip is not lost.

    default_error_messages = {"invalid": "wanted an object with names and values"}

    @property
    def caller(self) -> Caller:
        caller: Caller = self.context["caller"]
        return caller

    def to_internal_value(self, data: Any) -> Any:
        wrong = self._unknown(data)
        try:
            read = super().to_internal_value(data)
        except serializers.ValidationError as others:
            detail: Any = others.detail
            raise serializers.ValidationError({**detail, **wrong}) from others
        if wrong:
            raise serializers.ValidationError(wrong)
        return read

    def _unknown(self, data: Any) -> dict[str, list[str]]:
        if not isinstance(data, dict):
            return {}
        known = {name for name, field in self.fields.items() if not field.read_only}
        return {shown(name): ["not wanted here"] for name in data if name not in known}


class RowBody(Body, serializers.ModelSerializer):
    # What is sent to change a row of a table.

    serializer_field_mapping = {
        models.CharField: Text,
        models.TextField: Text,
        models.DateField: Day,
        models.TimeField: Clock,
        models.DateTimeField: Moment,
        models.DecimalField: Number,
        models.IntegerField: Whole,
        models.PositiveIntegerField: Whole,
        models.BooleanField: YesNo,
    }
    serializer_choice_field = OneOf


class LedgerBody(Body):
    # What is sent to a ledger: its `client_id` makes one of what is sent twice.

    client_id = Text(
        max_length=CODE_LENGTH,
        required=False,
        allow_null=True,
        help_text="made where the thing was noted; also taken from the header Idempotency-Key",
    )


def hours(**more: Any) -> Number:
    """Hours on a dial, to the hundredth."""
    return Number(max_digits=12, decimal_places=2, min_value=Decimal(0), **more)


def how_many(least: str = "0", **more: Any) -> Number:
    return Number(max_digits=10, decimal_places=3, min_value=Decimal(least), **more)
