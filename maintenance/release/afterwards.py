"""What of the releases is read afterwards: by one person, let be by name, by telephone."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q

from maintenance.release.models import Release, ReleaseName
from maintenance.release.rule_list import HELD

AFTER = (ReleaseName.How.SEEN, ReleaseName.How.CONFIRMED)


@dataclass(frozen=True, slots=True)
class Read:
    """A release to be read: fewer names than were wanted, something let be, a name to be confirmed."""

    release: Release
    alone: bool
    unseen: bool
    unconfirmed: bool


def to_read(boats: Any) -> list[Read]:
    """The releases of boats that wait for somebody to read or confirm them, the latest first; two queries."""
    names = Prefetch("names", ReleaseName.objects.standing().order_by("pk"))
    of = ReleaseName.objects.standing().filter(release=OuterRef("pk"))
    seen = Exists(of.filter(how=ReleaseName.How.SEEN))
    waits = Exists(of.filter(how=ReleaseName.How.BY_TELEPHONE, confirmed_by__isnull=True))
    asked = (Q(names_needed__gt=1) | ~Q(reasons=[])) & ~seen
    rows = Release.objects.standing().filter(asked | waits, boat__in=boats).exclude(verdict=HELD)
    judged = (
        _read(row) for row in rows.select_related("boat", "charter").prefetch_related(names).order_by("-pk")
    )
    return [read for read in judged if read.unseen or read.unconfirmed]


def _read(row: Release) -> Read:
    names = list(row.names.all())
    people = {" ".join(n.name.casefold().split()) for n in names if n.how not in AFTER}
    alone = len(people) < row.names_needed
    seen = any(n.how == ReleaseName.How.SEEN for n in names)
    confirmed = {n.confirms_id for n in names if n.confirms_id}
    waiting = [n for n in names if n.how == ReleaseName.How.BY_TELEPHONE and n.pk not in confirmed]
    return Read(row, alone, (alone or bool(row.reasons)) and not seen, bool(waiting))
