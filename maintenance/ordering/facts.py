"""What lies of each spare of a base, what will be taken, what was and what comes: rows in, shelves out."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Final

from django.db.models import F, Min, Q, QuerySet

from fleet.bases.models import Base
from fleet.boats.models import Place
from maintenance.ordering.chances import Rate
from maintenance.ordering.holding import NONE, SEASON, Ahead, Hold, Taken, by_costs, by_plain_rule
from maintenance.ordering.learning import prior_over
from maintenance.ordering.money import Asks, offers, price_of
from maintenance.ordering.orders import Coming, coming, orders_of, took, took_from
from maintenance.ordering.out import BoatDays, boat_days
from maintenance.ordering.prices import prices_of
from maintenance.ordering.quantity import Costs, to_order
from maintenance.ordering.shelf import LotLies, Shelf
from maintenance.ordering.standing import Lead, lead
from maintenance.planning.taking import Lies
from maintenance.servicing.models import Due, IntervalSpare
from maintenance.spares.facts import allowances, hands, lots_at
from maintenance.spares.models import Lot, Spare, StockMove
from maintenance.spares.stock import Where

REVIEW: Final = 7  # days until somebody looks again: common practice of a weekly turnaround, no source
USUAL_LEAD: Final = 14  # days taken where a spare's lead time is not known: no source
YEAR: Final = 365
TENTH: Final = Decimal("0.1")
FURTHEST: Final = timedelta(days=3 * YEAR)  # no order takes longer that anybody waits for: no source


@dataclass(frozen=True, slots=True)
class Used:
    """What was used of a spare on a day, and whether a task recorded with it takes it."""

    day: date
    quantity: Decimal
    planned: bool


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a base's spares on a day, each by the spare's key."""

    base: Base
    on: date
    places: Mapping[int, Place]
    lying: Mapping[int, Mapping[int, Decimal]]
    should: Mapping[int, Mapping[int, Decimal]]
    lots: Mapping[int, tuple[LotLies, ...]]
    used: Mapping[int, list[Used]]
    planned: Mapping[int, list[tuple[date, Decimal]]]
    looked_for: int
    out: BoatDays
    coming: Mapping[int, list[Coming]]
    took: Mapping[int, list[int]]
    took_from: Mapping[str, list[int]]
    prices: Mapping[int, list[Asks]]

    def beyond(self, spare: int) -> list[Taken]:
        """What was used beyond plan."""
        return [Taken(u.day.toordinal(), u.quantity) for u in self.used.get(spare, ()) if not u.planned]

    @property
    def time(self) -> int:
        """Boat-days looked at so far."""
        return self.out.between(self.on - timedelta(self.looked_for), self.on)


def shelves(base: Base, boats: Collection[int], *, on: date) -> list[Shelf]:
    """Every spare that lies, should lie, was used, will be taken or is on its way at a base, what falls
    short first; the same number of queries, whatever theirs."""
    known = _known(base, boats, on)
    here = {*known.lying, *known.should, *known.used, *known.planned, *known.coming}
    spares = list(Spare.objects.filter(pk__in=here))
    prior = prior_over([(_sum(known.beyond(spare.pk)), known.time) for spare in spares])
    found = [_shelf(spare, known, prior) for spare in spares]
    return sorted(found, key=lambda shelf: (shelf.short == NONE, shelf.spare.name, shelf.spare.code))


def _shelf(spare: Spare, known: Known, prior: Rate) -> Shelf:
    here, there = known.lying.get(spare.pk, {}), known.should.get(spare.pk, {})
    time = _lead(spare, known)
    days = time.days + REVIEW
    plain = _plain(spare, days, known)
    hold = _by_price(spare, days, known, prior) or plain
    aboard = {place: number for place, number in there.items() if known.places[place].boat_id is not None}
    price = price_of(known.prices.get(spare.pk, ()), on=known.on)
    shelf = Shelf(
        spare=spare,
        lying=_in_order(Lies(known.places[place], number) for place, number in here.items() if number),
        lots=known.lots.get(spare.pk, ()),
        hold=hold,
        plain=plain if hold is not plain else None,
        kits_lack=_sum_of(max(number - here.get(place, NONE), NONE) for place, number in aboard.items()),
        days=days,
        lead=time,
        coming=tuple(known.coming.get(spare.pk, ())),
        order=Hold(NONE, ""),
        price=price,
    )
    return replace(shelf, order=_order(shelf, known))


def _lead(spare: Spare, known: Known) -> Lead:
    took, others = known.took.get(spare.pk, ()), known.took_from.get(spare.supplier, ())
    return lead(took, others, typed=spare.lead_days, usual=USUAL_LEAD, supplier=spare.supplier)


def _ahead(spare: Spare, days: int, known: Known) -> Ahead:
    last = known.on + timedelta(days)
    planned = _sum_of(quantity for day, quantity in known.planned.get(spare.pk, ()) if day <= last)
    return Ahead(days, planned, spare.pack_of)


def _plain(spare: Spare, days: int, known: Known) -> Hold:
    there = known.should.get(spare.pk, {})
    typed = [number for place, number in there.items() if known.places[place].base_id is not None]
    said = _sum_of(typed) if typed else None
    ahead = _ahead(spare, days, known)
    return by_plain_rule(ahead, known.beyond(spare.pk), typed=said, looked_for=known.looked_for)


def _by_price(spare: Spare, days: int, known: Known, prior: Rate) -> Hold | None:
    """What its price is worth, where the base said what a missed Saturday costs and a season was
    looked at: only there the season simulation shows fewer parts missing for the same money, and
    only for what is counted by the piece."""
    price, missed = price_of(known.prices.get(spare.pk, ()), on=known.on), known.base.missed_saturday
    taken = known.beyond(spare.pk)
    whole = all(one.quantity == one.quantity.to_integral_value() for one in taken)
    if price is None or missed is None or not whole or known.looked_for < SEASON or not known.time:
        return None
    ahead_out = known.out.between(known.on, known.on + timedelta(days))
    if price.currency != known.base.currency or price.amount <= NONE or not ahead_out:
        return None
    rate = prior.after(_sum(taken), known.time)
    return by_costs(_ahead(spare, days, known), rate, ahead_out, price=price.amount, missed=missed)


def _order(shelf: Shelf, known: Known) -> Hold:
    base, spare = known.base, shelf.spare
    costs = None
    if base.order_cost is not None and base.holding_percent is not None:
        costs = Costs(base.order_cost, base.holding_percent, base.currency)
    used = known.used.get(spare.pk, ())
    since = known.on - timedelta(min(known.looked_for, YEAR))
    lately = _sum_of(one.quantity for one in used if one.day > since)
    yearly = lately * YEAR / min(known.looked_for, YEAR) if known.looked_for >= SEASON else NONE
    asks = offers(known.prices.get(spare.pk, ()), on=known.on)
    return to_order(shelf.short, spare.pack_of, yearly=yearly.quantize(TENTH), asks=asks, costs=costs)


def _known(base: Base, boats: Collection[int], on: date) -> Known:
    places = Place.objects.filter(Q(base=base) | Q(boat__in=boats)).select_related("parent").in_bulk()
    first = _moves(places, on).aggregate(first=Min("day"))["first"]
    looked_for = (on - first).days if first else 0
    orders = orders_of(base.pk, on=on)
    lying, planned, used = _by_spare(hands(places.keys(), on=on)), _planned(boats), _used(places, on)
    on_the_way = coming(orders)
    return Known(
        base=base,
        on=on,
        places=places,
        lying=lying,
        should=_by_spare(allowances(on=on, places=places.keys())),
        lots=_lots(places, on),
        used=used,
        planned=planned,
        looked_for=looked_for,
        out=boat_days(boats, since=on - timedelta(looked_for), until=on + FURTHEST),
        coming=on_the_way,
        took=took(orders),
        took_from=took_from(orders),
        prices=prices_of({*lying, *planned, *used, *on_the_way}, base=base.pk),
    )


def _sum(taken: Iterable[Taken]) -> float:
    return float(sum(one.quantity for one in taken))


def _sum_of(numbers: Iterable[Decimal]) -> Decimal:
    return sum(numbers, NONE)


def _by_spare(numbers: Mapping[Where, Decimal]) -> dict[int, dict[int, Decimal]]:
    """Numbers by place, for each spare."""
    found: dict[int, dict[int, Decimal]] = defaultdict(dict)
    for (spare, place), number in numbers.items():
        found[spare][place] = number
    return dict(found)


def _in_order(lying: Iterable[Lies]) -> tuple[Lies, ...]:
    """The store first, then the boats."""
    return tuple(sorted(lying, key=lambda one: (one.place.boat_id is not None, str(one.place))))


def _lots(places: Mapping[int, Place], on: date) -> dict[int, tuple[LotLies, ...]]:
    """What lies of each lot, the first to run out first."""
    lying = lots_at(places.keys(), on=on)
    lots = Lot.objects.in_bulk({lot for of in lying.values() for lot in of})
    found: dict[int, list[LotLies]] = defaultdict(list)
    for (spare, place), of in lying.items():
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


def _used(places: Mapping[int, Place], on: date) -> dict[int, list[Used]]:
    """What was used, and what of it a task recorded with it takes; the rest broke, or a crew used it."""
    moves = _moves(places, on).filter(why=StockMove.Why.USED, from_place__in=places)
    planned = moves.filter(job__job__services__service__interval__spares__spare=F("spare"))
    for_tasks = set(planned.values_list("pk", flat=True))
    found: dict[int, list[Used]] = defaultdict(list)
    for key, spare, day, quantity in moves.values_list("pk", "spare_id", "day", "quantity"):
        found[spare].append(Used(day, quantity, key in for_tasks))
    return dict(found)


def _moves(places: Mapping[int, Place], on: date) -> QuerySet[StockMove]:
    here = Q(from_place__in=places) | Q(to_place__in=places)
    moves: QuerySet[StockMove] = StockMove.objects.standing().filter(here, day__lte=on)
    return moves
