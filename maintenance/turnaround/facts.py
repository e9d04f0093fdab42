"""Which charters have a return."""

from collections.abc import Collection
from typing import Any, NamedTuple

from django.db.models import F, QuerySet

from maintenance.turnaround.models import Return


def returned_charters(boats: Collection[int] | QuerySet[Any, Any], *, by: str | None = None) -> set[int]:
    """Charters of boats for which a return was filed and stands, by the base or the skipper; one
    of the boat a charter had before it was changed leaves the boat it has now to come back."""
    rows = Return.objects.standing().filter(boat__in=boats, boat=F("charter__boat"))
    if by is not None:
        rows = rows.filter(filed_by=by)
    return set(rows.values_list("charter_id", flat=True))


class Returned(NamedTuple):
    """Charters told to be back, and those of them the base has checked out."""

    told: frozenset[int]
    checked_out: frozenset[int]


def returned_by(boats: Collection[int]) -> Returned:
    """Which charters of boats are back, and by whose word; two queries."""
    base = returned_charters(boats, by=Return.FiledBy.BASE)
    return Returned(frozenset(returned_charters(boats)), frozenset(base))
