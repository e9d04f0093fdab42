"""How a boat stands between two charters: returns, the round, who was given her, whose reports wait."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import Any, NamedTuple

from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.db.models.functions import Coalesce

from fleet.boats.models import Boat
from fleet.charters.facts import bookings
from fleet.charters.models import Charter
from fleet.charters.rules import Booking
from maintenance.defects.models import Defect, DefectStep
from maintenance.turnaround.models import Handover, LinkDefect, LinkReturn, Return, Round, RoundLine
from maintenance.turnaround.seeing import unseen_reports

# The row a report first came in as is the one that came by a link: itself, the one it corrects, or the
# one that was moved to another boat.
BY_LINK = (
    Q(came_by__isnull=False)
    | Q(first__came_by__isnull=False)
    | Q(replaces__came_by__isnull=False)
    | Q(replaces__first__came_by__isnull=False)
    | Q(first__replaces__came_by__isnull=False)
    | Q(first__replaces__first__came_by__isnull=False)
)


def returned_charters(boats: Collection[int] | QuerySet[Any, Any], *, by: str | None = None) -> set[int]:
    """Charters of boats for which a return was filed and stands, by the base or the skipper; one
    of the boat a charter had before it was changed leaves the boat it has now to come back."""
    rows = Return.objects.standing().filter(boat__in=boats, boat=F("charter__boat"))
    if by is not None:
        rows = rows.filter(filed_by=by)
    return set(rows.values_list("charter_id", flat=True))


class Returned(NamedTuple):
    """Charters told to be back, those of them the base has checked out, and the boats that were
    handed over to each charter, the last one last."""

    told: frozenset[int]
    checked_out: frozenset[int]
    handed: dict[int, list[int]]


def returned_by(boats: Collection[int]) -> Returned:
    """Which charters of boats are back, and by whose word; which were given a boat; three queries."""
    base = returned_charters(boats, by=Return.FiledBy.BASE)
    handed: dict[int, list[int]] = {}
    rows = Handover.objects.standing().filter(charter__boat__in=boats).order_by("pk")
    for charter, boat in rows.values_list("charter_id", "boat_id"):
        handed.setdefault(charter, []).append(boat)
    return Returned(frozenset(returned_charters(boats)), frozenset(base), handed)


def came_by_link(defects: Collection[int]) -> bool:
    """Whether a skipper reads on a link's page what is answered to one of these, with a return or
    without."""
    if LinkDefect.objects.filter(defect__in=defects).exists():
        return True
    return LinkReturn.objects.filter(filed__defects__defect__in=defects).exists()


def waiting_for_an_answer(boats: Collection[int]) -> list[Defect]:
    """What skippers wrote by their links that is open, was seen, and nobody has answered in words (a look,
    a grade or a tap of theirs is no answer): danger first, then the oldest; one query."""
    its, told = Coalesce(OuterRef("first"), OuterRef("pk")), DefectStep.Step.ANSWERED
    answered = DefectStep.objects.standing().filter(defect=its, step=told)
    rows = Defect.objects.open().filter(BY_LINK, boat__in=boats).exclude(Exists(answered))
    rows = rows.exclude(pk__in=unseen_reports(boats).values("pk"))
    found = list(rows.select_related("boat").order_by("recorded_at", "pk"))
    return sorted(found, key=lambda defect: not defect.risk_now)


@dataclass(frozen=True, slots=True)
class Turn:
    """A boat between two charters: the one she is back from, the base's check-out of it, the round
    that was signed since, and one begun and not signed."""

    last: Booking | None = None
    inspected: Return | None = None
    signed: Round | None = None
    begun: Round | None = None

    @property
    def is_inspected(self) -> bool:
        """A boat that never went out has no return to inspect."""
        return self.last is None or self.inspected is not None


def turn_of(boat: Boat, on: date, charter: Charter | None = None) -> Turn:
    """How a boat stands on a day between her last charter and the one she leaves for (else her next)."""
    last = _last_before(boat, on, charter)
    inspected = _inspected(boat, last)
    since = last and min(last.ends_on, inspected.day if inspected else on)  # back early: walked that day
    rounds = Round.objects.standing().filter(boat=boat, day__lte=on).order_by("-day", "-pk")
    if since is not None:
        rounds = rounds.filter(day__gte=since)
    signed, begun = rounds.exclude(signed_by="").first(), rounds.filter(signed_by="").first()
    return Turn(last, inspected, signed, begun)


def round_of(boat: Boat, on: date, charter: Charter | None = None) -> Round | None:
    """The signed round that counts for a boat on a day: one signed on the day her last charter ended
    or later."""
    return turn_of(boat, on, charter).signed


def handover_of(charter: Charter) -> Handover | None:
    """That the boat a charter has now was handed over to it; one of a boat it had before does not
    stand for her."""
    rows = Handover.objects.standing().filter(charter=charter, boat=charter.boat_id)
    row: Handover | None = rows.select_related("boat", "charter").order_by("pk").last()
    return row


def handed_before(charter: Charter) -> list[Handover]:
    """Handovers to a charter of boats it has no more, the oldest first."""
    rows = Handover.objects.standing().filter(charter=charter).exclude(boat=charter.boat_id)
    return list(rows.select_related("boat").order_by("pk"))


def function_noted(case: int) -> str:
    """What a defect that failed in a round touches, as its check says: to be kept when it is graded."""
    rows = RoundLine.objects.filter(defect=case).values_list("item__function", flat=True)
    return rows.first() or ""


def _last_before(boat: Boat, on: date, charter: Charter | None) -> Booking | None:
    booked = bookings([boat.pk]).get(boat.pk, [])
    own = [b for b in booked if charter is not None and b.code == charter.code]
    leaves = own[0].starts_on if own else on
    earlier = [b for b in booked if b.starts_on < leaves and b not in own]
    return max(earlier, key=lambda b: (b.starts_on, b.ends_on), default=None)


def _inspected(boat: Boat, last: Booking | None) -> Return | None:
    """The base's first check-out of a boat from a charter."""
    if last is None:
        return None
    rows = Return.objects.standing().filter(boat=boat, charter__code=last.code, filed_by=Return.FiledBy.BASE)
    row: Return | None = rows.select_related("inspected_by").order_by("day", "pk").first()
    return row
