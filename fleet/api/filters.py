"""Filters of lists, each named for what is asked; a slip in one is said, not passed over."""

from collections.abc import Collection
from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request

WANTED_DAY = {"invalid": "wanted a day such as 2026-05-30"}
MOST = 2**31 - 1


def code(path: str, said: str) -> filters.CharFilter:
    """Rows that point to the thing with this code."""
    return filters.CharFilter(field_name=path, max_length=64, label=said)


def day(path: str, said: str, lookup: str = "exact") -> filters.DateFilter:
    return filters.DateFilter(field_name=path, lookup_expr=lookup, error_messages=WANTED_DAY, label=said)


def days(path: str) -> dict[str, filters.Filter]:
    """A day, or from a day to another, both counted."""
    return {
        "day": day(path, "on this day"),
        "from_day": day(path, "on this day or later", "gte"),
        "to_day": day(path, "on this day or before", "lte"),
    }


def number(path: str, said: str) -> filters.NumberFilter:
    return filters.NumberFilter(
        field_name=path,
        min_value=1,
        max_value=MOST,
        label=said,
        error_messages={"invalid": "wanted the number of a row"},
    )


def yes_no(said: str, **more: Any) -> filters.TypedChoiceFilter:
    """true or false; anything else is refused."""
    return filters.TypedChoiceFilter(
        choices=[("true", "true"), ("false", "false")], coerce=lambda text: text == "true", label=said, **more
    )


ASIDE = ("fields", "cursor", "page_size", "known_at")  # what every list can be asked with


def refuse_unknown(request: Request, known: Collection[str]) -> None:
    """Refuses a name that no filter has: a slip would otherwise show everything."""
    unknown = [name for name in request.query_params if name not in known and name not in ASIDE]
    if unknown:
        wanted = ", ".join([*known, *ASIDE])
        raise ValidationError({name[:60]: [f"not known here; wanted some of {wanted}"] for name in unknown})


class BaseCode(filters.CharFilter):
    """Rows of the boats a base has today; `boat` is the path to the boat."""

    def __init__(self, boat: str = "boat", **more: Any) -> None:
        self.boat = boat
        super().__init__(max_length=64, label="of this base's boats", **more)

    def filter(self, qs: QuerySet[Any], value: str) -> QuerySet[Any]:
        if not value:
            return qs
        caller = self.parent.request.caller_of_api
        theirs = [pk for pk, base in caller.boats.items() if caller.bases[base].code == value]
        return qs.filter(**{f"{self.boat}__in": theirs})
