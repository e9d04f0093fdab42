"""Which call-outs are under way, and how each stands: rows in, frozen facts out, in four queries."""

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from fleet.bases.models import Base
from fleet.boats.models import Boat
from maintenance.defects.models import Defect
from maintenance.jobs.call_out import CLOSING
from maintenance.jobs.clock import runs_out_at
from maintenance.jobs.models import CallOut, CallOutDefect, CallOutStep
from maintenance.servicing.models import IntervalSpare
from maintenance.spares.facts import hands
from maintenance.spares.models import Spare


@dataclass(frozen=True, slots=True)
class UnderWay:
    """One call-out with what it is for and what was said of it, the first step first."""

    call_out: CallOut
    defects: tuple[Defect, ...]
    steps: tuple[CallOutStep, ...]

    @property
    def last(self) -> CallOutStep | None:
        return self.steps[-1] if self.steps else None

    @property
    def closed(self) -> bool:
        return self.last is not None and self.last.step in CLOSING

    @property
    def promised_at(self) -> datetime | None:
        """For when somebody was promised last."""
        return next((s.promised_at for s in reversed(self.steps) if s.promised_at), None)

    @property
    def takes(self) -> str:
        """What goes along from the van, as it was said last."""
        return next((s.takes for s in reversed(self.steps) if s.takes), "")

    @property
    def runs_out_at(self) -> datetime | None:
        """When the contract's hours are over; None where no charter's clock runs."""
        told = self.call_out
        return None if told.hours is None else runs_out_at(told.told_at, told.hours)


def open_call_outs(base: Base, on: date) -> list[UnderWay]:
    """Those under way of a base's boats: the one whose clock runs out first leads, those without a
    clock come last."""
    closed = CallOutStep.objects.standing().filter(step__in=CLOSING, call_out=OuterRef("pk"))
    found = _stand(_of_base(base, on).exclude(Exists(closed)))
    return sorted(found, key=lambda u: (u.runs_out_at is None, u.runs_out_at or u.call_out.told_at))


def closed_call_outs(base: Base, on: date, most: int) -> list[UnderWay]:
    """The latest that were closed, the last one first."""
    closed = CallOutStep.objects.standing().filter(step__in=CLOSING).values("call_out")
    return _stand(_of_base(base, on).filter(pk__in=closed).order_by("-pk")[:most])


def under_way(call_out: CallOut) -> UnderWay:
    """One call-out as it stands."""
    return _stand(CallOut.objects.filter(pk=call_out.pk))[0]


def _of_base(base: Base, on: date) -> QuerySet[CallOut]:
    rows: QuerySet[CallOut] = CallOut.objects.standing().filter(
        boat__in=Boat.objects.of_base(base.pk, on).values("pk")
    )
    return rows


def _stand(rows: QuerySet[CallOut]) -> list[UnderWay]:
    found = list(rows.select_related("boat", "charter", "recorded_by"))
    keys = [row.pk for row in found]
    steps: dict[int, list[CallOutStep]] = defaultdict(list)
    for step in CallOutStep.objects.standing().filter(call_out__in=keys).order_by("pk"):
        steps[step.call_out_id].append(step)
    defects = _defects(keys)
    return [UnderWay(row, tuple(defects[row.pk]), tuple(steps[row.pk])) for row in found]


def _defects(call_outs: Collection[int]) -> dict[int, list[Defect]]:
    """What each is for, in the words that stand now."""
    links = list(
        CallOutDefect.objects.filter(call_out__in=call_outs).order_by("pk").values_list("call_out", "defect")
    )
    by_case = standing_of({case for _, case in links})
    found: dict[int, list[Defect]] = defaultdict(list)
    for call_out, case in links:
        if case in by_case:
            found[call_out].append(by_case[case])
    return found


def standing_of(cases: Collection[int]) -> dict[int, Defect]:
    """The row that stands of each case, with what it is graded; one query."""
    rows = Defect.objects.standing().judged().alias(its=Coalesce("first", "pk")).filter(its__in=cases)
    return {row.case: row for row in rows.select_related("component__kind", "place")}


def ended_of(defects: Sequence[Defect]) -> set[int]:
    """The cases of these that nobody need do anything about any more; one query."""
    keys = [defect.pk for defect in defects]
    still = {row.case for row in Defect.objects.open().filter(pk__in=keys)}
    return {defect.case for defect in defects} - still


def coming_to(cases: Collection[int]) -> dict[int, CallOutStep]:
    """What was promised or said last of the open call-outs that reports are in, by case; two queries."""
    closed = CallOutStep.objects.standing().filter(step__in=CLOSING).values("call_out")
    links = CallOutDefect.objects.filter(defect__in=cases, call_out__in=CallOut.objects.standing())
    pairs = list(links.exclude(call_out__in=closed).order_by("pk").values_list("defect", "call_out"))
    steps = CallOutStep.objects.standing().filter(call_out__in={call for _, call in pairs}).order_by("pk")
    last = {step.call_out_id: step for step in steps}
    return {case: last[call] for case, call in pairs if call in last}


def called_for(defect: Defect) -> CallOut | None:
    """The open call-out a defect is in, where it is in one."""
    closed = CallOutStep.objects.standing().filter(step__in=CLOSING).values("call_out")
    rows = CallOut.objects.standing().filter(defects__defect=defect.case).exclude(pk__in=closed)
    row: CallOut | None = rows.order_by("pk").last()
    return row


def spares_for(defects: Sequence[Defect], base: Base) -> list[tuple[Spare, str]]:
    """Spares of the kinds of things these defects name that the book has in the base's stores, with
    the store's name: what the van could take."""
    kinds = {defect.component.kind_id for defect in defects if defect.component is not None}
    wanted = Spare.objects.filter(Q(kind__in=kinds) | Q(pk__in=_taken_by(kinds))).distinct()
    spares = {spare.pk: spare for spare in wanted}
    places = {place.pk: str(place) for place in base.places.select_related("parent")}
    held = hands(places.keys()) if spares else {}
    return [(spares[s], places[p]) for (s, p), number in held.items() if s in spares and number > 0]


def _taken_by(kinds: Collection[int]) -> list[int]:
    rows = IntervalSpare.objects.filter(interval__kind__in=kinds)
    return list(rows.values_list("spare", flat=True))
