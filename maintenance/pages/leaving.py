"""What a boat's card offers before she leaves: her round, her handover, or that she was handed over."""

from datetime import date, timedelta
from typing import Any

from fleet.charters.models import Charter
from maintenance.planning.facts import AHEAD, Visit
from maintenance.turnaround.facts import Returned

HANDED, CHANGED, NOT_YET = "handed over", "boat changed", ""


def leaving(v: Visit, on: date, returned: Returned) -> dict[str, Any] | None:
    """The charter a boat in port leaves for within the week, and how its handover stands; none where
    she is out or nothing is booked so soon."""
    back = v.last is None or v.last.ends_on <= on or v.last.pk in returned.told
    charter = v.charter
    if charter is None or not back or charter.starts_on > on + timedelta(days=AHEAD):
        return None
    return {"charter": charter, "handed": handed(charter, returned)}


def handed(charter: Charter, returned: Returned) -> str:
    """Whether the boat a charter has now was handed over to it, or another one it had before was."""
    boats = returned.handed.get(charter.pk, [])
    if charter.boat_id in boats:
        return HANDED
    return CHANGED if boats else NOT_YET
