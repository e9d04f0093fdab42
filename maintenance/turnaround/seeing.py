"""What of the crews' and cleaners' reports nobody of the base has seen yet, and when the others were seen."""

from collections.abc import Collection, Iterator
from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Exists, Min, OuterRef, Q, QuerySet

from fleet.bases.turns import take_turn
from fleet.ledger import enter
from fleet.people.models import Person
from maintenance.defects.models import Defect, DefectStep
from maintenance.jobs.models import CallOutDefect
from maintenance.turnaround.models import Return, ReturnDefect, ReturnSeen

Step = DefectStep.Step
# What the base does about a report shows that it was seen, also where it was taken back again.
BY_THE_BASE = (Step.GRADED, Step.LOOKED, Step.PUT_RIGHT, Step.NO_FAULT_FOUND, Step.ANSWERED)
FROM_CLEANERS = "cleaners-"  # how the ids of their reports begin


@transaction.atomic
def see_return(filed: Return, *, who: str, at: datetime, by: Person | None = None) -> ReturnSeen:
    """That somebody of the base has read a skipper's return, which tells its sender so; the first time
    is kept."""
    take_turn()
    seen: ReturnSeen | None = ReturnSeen.objects.standing().filter(filed=filed).first()
    return seen or enter(ReturnSeen(filed=filed, by=who), at=at, by=by)


def seen_at(cases: Collection[int]) -> dict[int, datetime]:
    """When somebody of the base first saw each report, by the key it first came in under; one nobody
    has seen is left out. A grade, a look, an answer, an end, a correction, a join, a call-out show it
    too, and so does the return it came with. Five queries, however many."""
    found: dict[int, datetime] = {}
    for rows, name, when in _signs(cases):
        told = rows.filter(**{f"{name}__in": cases}).order_by().values(name).annotate(first_at=Min(when))
        for case, at in told.values_list(name, "first_at"):
            found[case] = min(at, found.get(case, at))
    return found


def returns_seen_at(returns: Collection[int]) -> dict[int, datetime]:
    """When somebody of the base first saw each return; one nobody has seen is left out. One query."""
    rows = ReturnSeen.objects.standing().filter(filed__in=returns)
    return dict(rows.values_list("filed", "recorded_at"))


def unseen_reports(boats: Collection[int] | QuerySet[Any, Any]) -> QuerySet[Defect]:
    """Open reports of boats that came by a skipper's or a cleaners' link and nobody of the base has
    seen; what came with a return is not among them: its return is."""
    rows: Any = Defect.objects.open().filter(boat__in=boats, replaces__isnull=True)
    rows = rows.filter(Q(came_by__isnull=False) | Q(client_id__startswith=FROM_CLEANERS))
    for sign, name, _ in _signs():
        rows = rows.exclude(Exists(sign.filter(**{name: OuterRef("pk")})))
    found: QuerySet[Defect] = rows
    return found


def unseen_returns(boats: Collection[int] | QuerySet[Any, Any]) -> QuerySet[Return]:
    """Returns of boats that came by a skipper's link and nobody of the base has seen: neither opened,
    nor before them when the base checked the boat out of that charter."""
    seen = ReturnSeen.objects.standing().filter(filed=OuterRef("pk"))
    by_base = Return.objects.standing().filter(filed_by=Return.FiledBy.BASE, charter=OuterRef("charter"))
    checked_out = by_base.filter(boat=OuterRef("boat"), recorded_at__gt=OuterRef("recorded_at"))
    rows = Return.objects.standing().filter(boat__in=boats, came_by__isnull=False)
    found: QuerySet[Return] = rows.exclude(Exists(seen)).exclude(Exists(checked_out))
    return found


def _signs(cases: Collection[int] | None = None) -> Iterator[tuple[Any, str, str]]:
    """The rows that show that a report was seen, the column that names it, and the one that says when."""
    seen = Q(step=Step.SEEN, replaced_by__isnull=True)
    yield DefectStep.objects.filter(Q(step__in=BY_THE_BASE) | seen, void=False), "defect", "recorded_at"
    anew = Defect.objects.filter(recorded_by__isnull=False)
    yield anew, "replaces", "recorded_at"  # any later correction stands for this first one
    yield anew, "same_as", "recorded_at"
    yield CallOutDefect.objects.all(), "defect", "call_out__recorded_at"
    returned = ReturnSeen.objects.standing().filter(filed=OuterRef("filed"))
    yield ReturnDefect.objects.filter(Exists(returned)), "defect", "filed__seen__recorded_at"
