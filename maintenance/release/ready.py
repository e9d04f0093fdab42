"""Whether boats were made ready since their last lay-up: signed, or from before signing was known."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import Min

from fleet.boats.models import BoatTerms
from fleet.charters.models import Charter
from maintenance.release.known import IN_USE
from maintenance.release.models import FittingOut, Release


@dataclass(frozen=True, slots=True)
class LaidUp:
    """A boat's last winter: the last day that changed her state in it, and when she was in use again."""

    last: date
    in_use: date | None = None


def ready_of(boats: Collection[int], on: date) -> dict[int, bool]:
    """Whether each boat's fitting-out was signed since she was last laid up; one never laid up is
    ready. What is signed is signed before the first charter: one that went out since, before anything
    was released in her name, was laid up before this was asked, and is not held for it now."""
    winters, signed = _winters(boats, on), last_signed(boats)
    unsigned = {b: w for b, w in winters.items() if b not in signed or signed[b].signed_on < w.last}
    before = _went_out_before_releases(unsigned, on)
    return {boat: boat not in unsigned or boat in before for boat in boats}


def last_signed(boats: Collection[int]) -> dict[int, FittingOut]:
    """The last signature under each boat's fitting-out; one query."""
    rows = FittingOut.objects.standing().filter(boat__in=boats).order_by("signed_on", "pk")
    return {row.boat_id: row for row in rows}


def _winters(boats: Collection[int], on: date) -> dict[int, LaidUp]:
    rows = BoatTerms.objects.standing().filter(boat__in=boats, from_on__lte=on).order_by("from_on", "pk")
    found: dict[int, LaidUp] = {}
    for boat, from_on, state in rows.values_list("boat_id", "from_on", "state"):
        if state != IN_USE:
            found[boat] = LaidUp(from_on)
        elif boat in found and found[boat].in_use is None:
            found[boat] = LaidUp(found[boat].last, from_on)
    return found


def _went_out_before_releases(winters: Mapping[int, LaidUp], on: date) -> set[int]:
    """The boats that went out since they were in use again, before the first release of theirs."""
    releases = Release.objects.filter(boat__in=winters).order_by().values_list("boat_id")
    first: dict[int, datetime] = dict(releases.annotate(Min("recorded_at")))
    out = _days_out(winters, on)
    return {
        boat
        for boat, winter in winters.items()
        if winter.in_use is not None
        and any(day >= winter.in_use and _before(first.get(boat), day) for day in out[boat])
    }


def _before(release: datetime | None, day: date) -> bool:
    """Whether a day is before a release, by any base's clock."""
    return release is None or day < release.date() - timedelta(days=1)


def _days_out(boats: Iterable[int], on: date) -> dict[int, list[date]]:
    rows = Charter.objects.booked().filter(boat__in=list(boats), starts_on__lt=on)
    found: dict[int, list[date]] = defaultdict(list)
    for boat, day in rows.values_list("boat_id", "starts_on"):
        found[boat].append(day)
    return found
