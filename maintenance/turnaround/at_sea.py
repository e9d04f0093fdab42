"""Which charter a boat is out on at a moment, by the book and by who took her back."""

from collections.abc import Collection
from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.bases.models import Base
from fleet.boats.models import Boat
from fleet.charters.models import Charter
from fleet.charters.rules import has_gone, is_over
from maintenance.turnaround.facts import returned_charters


def under_way(boat: Boat, base: Base, at: datetime) -> Charter | None:
    """The charter she is out on: past its hour of leaving, before its hour of coming back, and not told
    to be back; None where she is in."""
    return out_of([boat.pk], base, at).get(boat.pk)


def out_of(boats: Collection[int], base: Base, at: datetime) -> dict[int, Charter]:
    """The charter that each of a base's boats is out on, of those that are; two queries."""
    local = at.astimezone(ZoneInfo(base.timezone)).replace(tzinfo=None)
    rows = Charter.objects.booked().filter(
        boat__in=boats, starts_on__lte=local.date(), ends_on__gte=local.date()
    )
    back = returned_charters(boats)
    return {
        c.boat_id: c
        for c in rows.order_by("starts_on", "pk")
        if c.pk not in back
        and has_gone(c.starts_on, c.leaves_at, local)
        and not is_over(c.ends_on, c.back_at, local)
    }
