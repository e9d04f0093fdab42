"""What the audit of printed dates rests on: rows in, frozen facts out, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db.models import Min, Q

from fleet.bases.models import Base
from fleet.boats.facts import dates_of_kinds
from fleet.boats.models import Fitting, PrintedDate
from fleet.charters.facts import bookings
from maintenance.safety.audit import Elsewhere, Expected, Printed, Thing, Through, through_of

Key = tuple[int, str]  # a component and which of its dates
THE_ONE = "expiry"  # of what carries one date: a lent one, one whose kind says no more


def known_by(base: Base, on: date, now: datetime) -> datetime | None:
    """The last instant of a past day at a base; None, for what is known now, on any other day."""
    if on >= base.day_of(now):
        return None
    midnight = datetime.combine(on + timedelta(days=1), time(0), ZoneInfo(base.timezone))
    return midnight - timedelta(microseconds=1)


def throughs(boats: Collection[int], on: date) -> dict[int, Through]:
    """The day each boat's dates are judged for."""
    booked = bookings(boats, after=on)
    return {boat: through_of(booked.get(boat, ()), on) for boat in boats}


def things_aboard(boats: Collection[int], on: date) -> list[Thing]:
    """What is fitted to boats on a day."""
    aboard = Q(removed_on__isnull=True) | Q(removed_on__gt=on)
    rows = Fitting.objects.standing().filter(aboard, boat__in=boats, fitted_on__lte=on)
    columns = (
        "component_id",
        "component__code",
        "component__kind_id",
        "component__kind__name",
        "component__kind__system",
        "position",
        "component__serial",
        "boat_id",
        "boat__name",
        "boat__code",
        "component__kind__code",
    )
    return [Thing(*row) for row in rows.order_by("boat__name", "component__code").values_list(*columns)]


def expected_dates(
    things: Collection[Thing],
    elsewhere: Mapping[int, Elsewhere],
    by_date: Collection[int],
    known_at: datetime | None,
) -> Iterator[Expected]:
    """Each date the things should carry, with what was known of it at an instant (now, where None).

    `by_date` are components that carry one though their kind need not. One that is away is not
    aboard: the lent one's date stands for all of its own.
    """
    components = [thing.component for thing in things]
    carried = dates_of_kinds({thing.kind for thing in things})
    printed = _printed(components, known_at)
    later = {} if known_at is None else _recorded_later(components, known_at)
    own: dict[int, set[str]] = defaultdict(set)
    for component, what in (*printed, *later):
        own[component].add(what)
    for thing in things:
        if thing.component in elsewhere:
            yield Expected(thing, THE_ONE, elsewhere=elsewhere[thing.component])
            continue
        needed = carried.get(thing.kind) or ((THE_ONE,) if thing.component in by_date else ())
        for what in sorted({*needed, *own[thing.component]}):
            key = (thing.component, what)
            yield Expected(thing, what, printed.get(key), None if key in printed else later.get(key))


def _printed(components: Collection[int], known_at: datetime | None) -> dict[Key, Printed]:
    """What stood recorded of each date; of two rows for one date the later."""
    rows = PrintedDate.objects.standing(known_at).filter(component__in=components).order_by("pk")
    columns = ("state", "as_written", "good_through", "recorded_at", "recorded_by__name")
    found: dict[Key, Printed] = {}
    for component, what, pk, *of, sha, mime in rows.values_list(
        "component_id", "what", "pk", *columns, "paper__sha256", "paper__mime"
    ):
        state, as_written, good, at, by = of
        found[component, what] = Printed(pk, state, as_written, good, at, by or "", sha or "", mime or "")
    return found


def _recorded_later(components: Collection[int], known_at: datetime) -> dict[Key, datetime]:
    """When each date that stands now was first recorded, of those recorded after an instant only."""
    now = PrintedDate.objects.standing().filter(component__in=components, recorded_at__gt=known_at)
    stands = set(now.values_list("component_id", "what"))
    first = PrintedDate.objects.filter(component__in=components, recorded_at__gt=known_at, void=False)
    rows = first.values_list("component_id", "what").annotate(Min("recorded_at")).order_by()
    return {(component, what): at for component, what, at in rows if (component, what) in stands}
