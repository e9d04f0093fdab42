"""Which charters have a return, and which reports came by a skipper's link."""

from collections.abc import Collection
from typing import Any, NamedTuple

from django.db.models import Exists, F, OuterRef, QuerySet

from maintenance.defects.models import Defect, DefectStep
from maintenance.turnaround.models import LinkDefect, LinkReturn, Return


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


def came_by_link(defects: Collection[int]) -> bool:
    """Whether a skipper reads on a link's page what is answered to one of these, with a return or
    without."""
    if LinkDefect.objects.filter(defect__in=defects).exists():
        return True
    return LinkReturn.objects.filter(filed__defects__defect__in=defects).exists()


def waiting_for_an_answer(boats: Collection[int]) -> list[Defect]:
    """What skippers wrote by their links that is open and nobody has answered: danger first, then the
    oldest; one query."""
    answered = DefectStep.objects.standing().filter(defect=OuterRef("pk"))
    rows = Defect.objects.open().filter(boat__in=boats, came_by__isnull=False).exclude(Exists(answered))
    found = list(rows.select_related("boat").order_by("recorded_at", "pk"))
    return sorted(found, key=lambda defect: not defect.risk_now)
