"""Filters of lists, each named for what is asked; a slip in one is said, not passed over."""

from collections.abc import Collection
from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_field
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request

from fleet.api.caller import Caller
from fleet.boats.models import Boat

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
    asked = filters.TypedChoiceFilter(
        choices=[("true", "true"), ("false", "false")],
        coerce=lambda text: text == "true",
        label=said,
        error_messages={"invalid_choice": "wanted true or false"},
        **more,
    )
    return extend_schema_field({"type": "boolean"})(asked)


ASIDE = ("fields", "cursor", "page_size")  # what every list can be asked with


def refuse_unknown(request: Request, caller: Caller, known: Collection[str]) -> None:
    """Refuses a name that no filter has, and a base or boat that is not the caller's: a slip would
    otherwise show everything, or read as if nothing were due."""
    asked = request.query_params
    wanted = ", ".join([*known, *ASIDE])
    wrong = {
        name[:60]: [f"not known here; wanted some of {wanted}"]
        for name in asked
        if name not in known and name not in ASIDE
    }
    if "base" in known and _not_among(asked.get("base"), [base.code for base in caller.bases.values()]):
        wrong["base"] = ["wanted the code of one of your bases"]
    if "boat" in known and asked.get("boat") and not _is_theirs(caller, asked["boat"].strip()):
        wrong["boat"] = ["wanted the code of a boat of your bases"]
    if wrong:
        raise ValidationError(wrong)


def _is_theirs(caller: Caller, boat: str) -> bool:
    """Whether a code is that of a boat of theirs; one no database could hold is nobody's."""
    return boat.isprintable() and Boat.objects.filter(pk__in=caller.boats, code=boat).exists()


def _not_among(code: str | None, codes: Collection[str]) -> bool:
    return bool(code) and str(code).strip() not in codes


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
