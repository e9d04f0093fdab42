"""Whether a boat is out on a charter at a moment, by the book and by who took her back."""

from datetime import datetime
from zoneinfo import ZoneInfo

from fleet.bases.models import Base
from fleet.boats.models import Boat
from fleet.charters.models import Charter
from maintenance.planning.facts import BACK, LEAVES
from maintenance.turnaround.facts import returned_charters


def under_way(boat: Boat, base: Base, at: datetime) -> Charter | None:
    """The charter she is out on: past its hour of leaving, before its hour of coming back, and not told
    to be back; None where she is in."""
    local = at.astimezone(ZoneInfo(base.timezone)).replace(tzinfo=None)
    rows = Charter.objects.booked().filter(boat=boat, starts_on__lte=local.date(), ends_on__gte=local.date())
    back = returned_charters([boat.pk])
    for charter in rows.order_by("-starts_on"):
        gone = datetime.combine(charter.starts_on, charter.leaves_at or LEAVES)
        due = datetime.combine(charter.ends_on, charter.back_at or BACK)
        if gone <= local < due and charter.pk not in back:
            return charter
    return None
