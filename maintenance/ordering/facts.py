"""What lies of each spare of a base, what will be taken and what was: rows in, shelves out."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from django.db.models import F, Min, Q, QuerySet

from fleet.boats.models import Place
from maintenance.ordering.holding import NONE, Ahead, Hold, Taken, by_plain_rule
from maintenance.planning.taking import Lies
from maintenance.servicing.models import Due, IntervalSpare
from maintenance.spares.facts import allowances, hands
from maintenance.spares.models import Spare, StockMove
from maintenance.spares.stock import Where

REVIEW: Final = 7  # days until somebody looks again: common practice of a weekly turnaround, no source
USUAL_LEAD: Final = 14  # days taken where a spare's lead time was never given: no source


@dataclass(frozen=True, slots=True)
class Shelf:
    """One spare of a base: where it lies, how many to hold ashore and why, what her boats' kits lack."""

    spare: Spare
    lying: tuple[Lies, ...]
    hold: Hold
    kits_lack: Decimal
    days: int

    @property
    def in_kits(self) -> tuple[Lies, ...]:
        """Aboard, where the book can be right."""
        return tuple(one for one in self.lying if one.place.boat_id is not None and one.on_hand > NONE)

    @property
    def elsewhere(self) -> tuple[Lies, ...]:
        """In the stores, and wherever the book says less than nothing."""
        return tuple(one for one in self.lying if one not in self.in_kits)

    @property
    def ashore(self) -> Decimal:
        return sum((one.on_hand for one in self.lying if one.place.base_id is not None), NONE)

    @property
    def aboard(self) -> Decimal:
        return sum((one.on_hand for one in self.in_kits), NONE)

    @property
    def short(self) -> Decimal:
        """How many are missing ashore, those that kits are to be filled with among them."""
        return max(self.hold.quantity + self.kits_lack - self.ashore, NONE)


def shelves(base: int, boats: Collection[int], *, on: date) -> list[Shelf]:
    """Every spare that lies, should lie, was used or will be taken at a base, what falls short first;
    eight queries, whatever their number."""
    places = Place.objects.filter(Q(base=base) | Q(boat__in=boats)).select_related("parent").in_bulk()
    held, should = hands(places.keys()), allowances(on=on, places=places.keys())
    taken = _beyond_plan(places.keys(), on)
    looked_for = _looked_for(places.keys(), on)
    planned = _planned(boats)
    lying, wanted = _by_spare(held), _by_spare(should)
    found = []
    for spare in Spare.objects.filter(pk__in={*lying, *wanted, *taken, *planned}):
        days = (USUAL_LEAD if spare.lead_days is None else spare.lead_days) + REVIEW
        ahead = Ahead(days, _until(planned[spare.pk], on + timedelta(days)))
        here, there = lying[spare.pk], wanted[spare.pk]
        typed = [number for place, number in there.items() if places[place].base_id is not None]
        hold = by_plain_rule(
            ahead, taken[spare.pk], typed=sum(typed, NONE) if typed else None, looked_for=looked_for
        )
        lies = _in_order(Lies(places[place], number) for place, number in here.items() if number != NONE)
        aboard = {place: number for place, number in there.items() if places[place].boat_id is not None}
        lack = sum((max(number - here.get(place, NONE), NONE) for place, number in aboard.items()), NONE)
        found.append(Shelf(spare, lies, hold, lack, days))
    return sorted(found, key=lambda shelf: (shelf.short == NONE, shelf.spare.name, shelf.spare.code))


def _by_spare(numbers: dict[Where, Decimal]) -> defaultdict[int, dict[int, Decimal]]:
    """Numbers by place, for each spare."""
    found: defaultdict[int, dict[int, Decimal]] = defaultdict(dict)
    for (spare, place), number in numbers.items():
        found[spare][place] = number
    return found


def _in_order(lying: Iterable[Lies]) -> tuple[Lies, ...]:
    """The store first, then the boats."""
    return tuple(sorted(lying, key=lambda one: (one.place.boat_id is not None, str(one.place))))


def _planned(boats: Collection[int]) -> defaultdict[int, list[tuple[date, Decimal]]]:
    """What each task due on a day takes. A task never recorded is left out: nobody knows whether it
    was done."""
    found: defaultdict[int, list[tuple[date, Decimal]]] = defaultdict(list)
    due: defaultdict[int, list[date]] = defaultdict(list)
    rows = Due.objects.filter(boat__in=boats, recorded=True).values_list("interval", "due_on")
    for interval, day in rows:
        if day is not None:
            due[interval].append(day)
    takes = IntervalSpare.objects.filter(interval__in=due.keys())
    for interval, spare, quantity in takes.values_list("interval", "spare", "quantity"):
        found[spare] += [(day, quantity) for day in due[interval]]
    return found


def _until(planned: Iterable[tuple[date, Decimal]], last: date) -> Decimal:
    return sum((quantity for day, quantity in planned if day <= last), NONE)


def _beyond_plan(places: Collection[int], on: date) -> defaultdict[int, list[Taken]]:
    """What was used that no task recorded with it takes: what broke, what a crew used."""
    moves = _moves(places, on).filter(why=StockMove.Why.USED, from_place__in=places)
    planned = moves.filter(job__job__services__service__interval__spares__spare=F("spare"))
    found: defaultdict[int, list[Taken]] = defaultdict(list)
    beyond = moves.exclude(pk__in=planned.values("pk"))
    for spare, day, quantity in beyond.values_list("spare", "day", "quantity"):
        found[spare].append(Taken(day.toordinal(), quantity))
    return found


def _looked_for(places: Collection[int], on: date) -> int:
    """Days since the first move at these places: before it nobody wrote anything down."""
    first = _moves(places, on).aggregate(first=Min("day"))["first"]
    return (on - first).days if first else 0


def _moves(places: Collection[int], on: date) -> QuerySet[StockMove]:
    here = Q(from_place__in=places) | Q(to_place__in=places)
    moves: QuerySet[StockMove] = StockMove.objects.standing().filter(here, day__lte=on)
    return moves
