"""What is known of a base's spares on a day: what lies, should lie, was used, will be taken, comes."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from django.db.models import F, Q

from fleet.bases.models import Base
from fleet.boats.models import Place
from maintenance.jobs.models import JobMove
from maintenance.ordering.holding import NONE, Taken
from maintenance.ordering.money import Asks
from maintenance.ordering.orders import Coming, coming, orders_of, took, took_from, written
from maintenance.ordering.out import BoatDays, boat_days
from maintenance.ordering.prices import prices_of
from maintenance.ordering.shelf import LotLies, is_ashore
from maintenance.planning.taking import Lies
from maintenance.servicing.models import Due, IntervalSpare
from maintenance.spares.facts import DAY, QUANTITY, allowances, exactly, lying, thousandths
from maintenance.spares.models import Lot, StockMove
from maintenance.spares.stock import Where

YEAR: Final = 365
FURTHEST: Final = timedelta(days=3 * YEAR)  # no order takes longer that anybody waits for: no source


@dataclass(frozen=True, slots=True)
class Used:
    """What was used of a spare: what tasks recorded with it take, and beyond that."""

    planned: list[Taken] = field(default_factory=list)
    beyond: list[Taken] = field(default_factory=list)

    def since(self, day: date) -> Decimal:
        """All that was used after a day."""
        after = (one.quantity for one in (*self.planned, *self.beyond) if one.day > day.toordinal())
        return sum(after, NONE)


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a base's spares on a day, each by the spare's key; `places` in their order, the
    stores first, then the boats; `ashore` and `aboard` are the keys of some of them."""

    base: Base
    on: date
    places: Mapping[int, Place]
    ashore: frozenset[int]
    aboard: frozenset[int]
    lying: Mapping[int, Mapping[int, Decimal]]
    should: Mapping[int, Mapping[int, Decimal]]
    lots: Mapping[int, tuple[LotLies, ...]]
    used: Mapping[int, Used]
    planned: Mapping[int, list[tuple[date, Decimal]]]
    looked_for: int
    out: BoatDays
    coming: Mapping[int, list[Coming]]
    written: Mapping[int, Decimal]
    took: Mapping[int, list[int]]
    took_from: Mapping[str, list[int]]
    prices: Mapping[int, list[Asks]]

    def beyond(self, spare: int) -> Sequence[Taken]:
        """What was used beyond plan."""
        return self.used[spare].beyond if spare in self.used else ()

    def until(self, days: int) -> date:
        """The last of so many days ahead."""
        return self.on + timedelta(days)

    def planned_in(self, spare: int, days: int) -> Decimal:
        """What the due list takes of it in so many days."""
        last = self.until(days)
        return sum((quantity for day, quantity in self.planned.get(spare, ()) if day <= last), NONE)

    @property
    def spares(self) -> set[int]:
        """Those of which anything is known."""
        return {*self.lying, *self.should, *self.used, *self.planned, *self.coming}

    @property
    def time(self) -> int:
        """Boat-days looked at so far."""
        return self.out.between(self.on - timedelta(self.looked_for), self.on)


def known_of(base: Base, boats: Collection[int], on: date) -> Known:
    """The same number of queries, whatever there is."""
    rows = Place.objects.filter(Q(base=base) | Q(boat__in=boats)).select_related("parent")
    places = {place.pk: place for place in sorted(rows, key=_stores_first)}
    there = lying(places.keys(), on=on)
    looked_for = (on - there.since).days if there.since else 0
    orders = orders_of(base.pk, on=on)
    rank = {key: n for n, key in enumerate(places)}
    lies = by_spare(dict(sorted(there.hands.items(), key=lambda one: rank[one[0][1]])))
    planned, used = _planned(boats), _used(places.keys(), on)
    on_the_way = coming(orders)
    return Known(
        base=base,
        on=on,
        places=places,
        ashore=frozenset(key for key, place in places.items() if is_ashore(place)),
        aboard=frozenset(key for key, place in places.items() if place.boat_id is not None),
        lying=lies,
        should=by_spare(allowances(on=on, places=places.keys())),
        lots=_lots(there.lots, places, on),
        used=used,
        planned=planned,
        looked_for=looked_for,
        out=boat_days(boats, since=on - timedelta(looked_for), until=on + FURTHEST),
        coming=on_the_way,
        written=written(orders),
        took=took(orders),
        took_from=took_from(orders),
        prices=prices_of(None, base=base.pk),
    )


def by_spare(numbers: Mapping[Where, Decimal]) -> dict[int, dict[int, Decimal]]:
    """Numbers by place, for each spare."""
    found: dict[int, dict[int, Decimal]] = defaultdict(dict)
    for (spare, place), number in numbers.items():
        found[spare][place] = number
    return dict(found)


def _stores_first(place: Place) -> tuple[bool, str]:
    return place.boat_id is not None, str(place)


def _lots(
    there: Mapping[Where, Mapping[int, Decimal]], places: Mapping[int, Place], on: date
) -> dict[int, tuple[LotLies, ...]]:
    """What lies of each lot, the first to run out first."""
    lots = Lot.objects.in_bulk({lot for of in there.values() for lot in of})
    found: dict[int, list[LotLies]] = defaultdict(list)
    for (spare, place), of in there.items():
        for key, quantity in of.items():
            lot = lots[key]
            over = lot.expires_on is not None and lot.expires_on < on
            found[spare].append(LotLies(lot, Lies(places[place], quantity), over))
    return {
        spare: tuple(sorted(of, key=lambda one: (one.lot.expires_on or date.max, one.lot.pk)))
        for spare, of in found.items()
    }


def _planned(boats: Collection[int]) -> dict[int, list[tuple[date, Decimal]]]:
    """What each task due on a day takes. A task never recorded is left out: nobody knows whether it
    was done."""
    found: dict[int, list[tuple[date, Decimal]]] = defaultdict(list)
    due: dict[int, list[date]] = defaultdict(list)
    rows = Due.objects.filter(boat__in=boats, recorded=True).values_list("interval", "due_on")
    for interval, day in rows:
        if day is not None:
            due[interval].append(day)
    takes = IntervalSpare.objects.filter(interval__in=due.keys())
    for interval, spare, quantity in takes.values_list("interval", "spare", "quantity"):
        found[spare] += [(day, quantity) for day in due[interval]]
    return dict(found)


def _used(places: Collection[int], on: date) -> dict[int, Used]:
    """What was used of each spare; what of it no recorded task takes broke, or a crew used it."""
    moves = StockMove.objects.standing().filter(why=StockMove.Why.USED, from_place__in=places)
    for_tasks = _for_tasks(places)
    found: dict[int, Used] = defaultdict(Used)
    ordinals: dict[str, int] = {}
    rows = moves.filter(day__lte=on).values_list("pk", "spare_id", DAY, QUANTITY)
    for key, spare, text, number in rows.order_by().iterator():
        day = ordinals.get(text) or ordinals.setdefault(text, date.fromisoformat(text).toordinal())
        of = found[spare].planned if key in for_tasks else found[spare].beyond
        of.append(Taken(day, exactly(thousandths(number))))
    return dict(found)


def _for_tasks(places: Collection[int]) -> set[int]:
    """The moves that a task recorded with them takes, as they were first kept and as put right since."""
    rows = JobMove.objects.filter(move__from_place__in=places)
    taken = rows.filter(job__services__service__interval__spares__spare=F("move__spare")).order_by()
    found = set(taken.values_list("move_id", flat=True))
    again = StockMove.objects.filter(why=StockMove.Why.USED, replaces__isnull=False)
    for key, first in again.order_by("pk").values_list("pk", "replaces_id"):
        if first in found:
            found.add(key)
    return found
