"""Which days of which charter each boat has: rows in, spans out."""

from collections import defaultdict
from collections.abc import Collection
from datetime import date

from django.db.models import Q

from fleet.boats.models import Boat
from fleet.charters.models import Charter, CharterBoat
from fleet.charters.rules import Booking, spans_of
from fleet.spans import Span


def spans_by_boat(boats: Collection[int]) -> dict[int, list[Span]]:
    """Charter days of boats, in order of going out; two queries. Cancelled ones count nowhere."""
    changed = CharterBoat.objects.standing().filter(boat__in=boats).values("charter")
    rows = Charter.objects.booked().filter(Q(boat__in=boats) | Q(pk__in=changed))
    had = _boats_had(boats)
    spans: dict[int, list[Span]] = defaultdict(list)
    for pk, boat, starts_on, ends_on in rows.values_list("pk", "boat_id", "starts_on", "ends_on"):
        for boat_id, span in spans_of(boat, starts_on, ends_on, had.get(pk, ())):
            spans[boat_id].append(span)
    return {boat: sorted(spans[boat], key=lambda s: s.starts_on) for boat in spans}


def _boats_had(boats: Collection[int]) -> dict[int, list[tuple[date, int]]]:
    """For each charter that ever changed boats and had one of these: the boats and from when."""
    touched = CharterBoat.objects.standing().filter(boat__in=boats).values("charter")
    rows = CharterBoat.objects.standing().filter(charter__in=touched).order_by("from_on", "pk")
    had: dict[int, list[tuple[date, int]]] = defaultdict(list)
    for charter, from_on, boat in rows.values_list("charter_id", "from_on", "boat_id"):
        had[charter].append((from_on, boat))
    return had


def bookings(boats: Collection[int], *, after: date | None = None) -> dict[int, list[Booking]]:
    """What each boat is booked for, charters changed on the way counted for the days they had her;
    of those only that end after a day, where one is given."""
    changed = CharterBoat.objects.standing().filter(boat__in=boats).values("charter")
    rows = Charter.objects.booked().filter(Q(boat__in=boats) | Q(pk__in=changed))
    if after is not None:
        rows = rows.filter(ends_on__gt=after)
    had = _boats_had(boats)
    found: dict[int, list[Booking]] = defaultdict(list)
    for charter in rows:
        days = spans_of(charter.boat_id, charter.starts_on, charter.ends_on, had.get(charter.pk, ()))
        for boat, span in days:
            found[boat].append(_booking(charter, span))
    return {boat: found[boat] for boat in boats if boat in found}


def _booking(charter: Charter, span: Span) -> Booking:
    leaves = charter.leaves_at if span.starts_on == charter.starts_on else None
    back = charter.back_at if span.ends_on == charter.ends_on else None
    return Booking(charter.code, span.starts_on, span.ends_on, leaves, back)


def boats_had(charter: Charter) -> list[Boat]:
    """The boats of a charter, the one it has now last; one where it was never changed."""
    rows = CharterBoat.objects.standing().filter(charter=charter).select_related("boat")
    had = {row.boat_id: row.boat for row in rows.order_by("from_on", "pk")}
    had.pop(charter.boat_id, None)
    return [*had.values(), charter.boat]
