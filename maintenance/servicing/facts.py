"""What the due lines of boats rest on: rows in, frozen facts out, in a fixed number of queries."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db import models
from django.db.models import F, Prefetch, Q

from fleet.boats.facts import laid_up_since
from fleet.boats.models import Fitting, PrintedDate
from fleet.charters.facts import spans_by_boat
from fleet.meters.facts import timelines
from fleet.meters.models import Reading
from fleet.meters.rules import Timeline, rate_of
from fleet.spans import Span
from maintenance.servicing.forecast import Done, Facts, Rule
from maintenance.servicing.hours import PartHours, Stay
from maintenance.servicing.models import Service, ServiceInterval

ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class LineFacts:
    """One due line by its rows' keys, and what it rests on."""

    boat: int
    component: int
    interval: int
    facts: Facts


@dataclass(frozen=True, slots=True)
class Intervals:
    """The intervals in force, by what they are for, and what each is settled by; `lay_up` are those
    of tasks done only while a boat is laid up."""

    rules: dict[int, Rule]
    of_kind: dict[int, list[int]]
    of_component: dict[int, list[int]]
    counted_by: dict[int, frozenset[int]]
    lay_up: set[int] = field(default_factory=set)

    def of(self, component: int, kind: int) -> list[int]:
        return [*self.of_kind.get(kind, ()), *self.of_component.get(component, ())]

    def counting(
        self, interval: int, done: Iterable[tuple[int, Done]], only_from: date | None = None
    ) -> list[Done]:
        """The services that count for an interval: its own and those of what settles it; of a task
        of the lay-up, those since it began."""
        counted, first = self.counted_by[interval], only_from or date.min
        return [service for which, service in done if which in counted and service.day >= first]


def line_facts(boats: Collection[int], on: date, usual: dict[int, Fraction | None]) -> Iterator[LineFacts]:
    """The lines of what is fitted to boats on a day; `usual` is each boat's base's rate."""
    stays, kinds = _stays_of(boats, on)
    meters = {stay.meter for places in stays.values() for stay in places if stay.meter is not None}
    known = timelines(meters, on)
    spans = spans_by_boat(boats)
    done = _services(stays.keys(), on)
    expiry = _expiry(stays.keys())
    intervals = _intervals(stays.keys(), set(kinds.values()), on)
    rates = _rates(stays.values(), known, spans, usual)
    laid_up = laid_up_since(boats, on) if intervals.lay_up else {}
    for component, places in stays.items():
        here = places[-1]
        part = PartHours(places, known)
        for interval in intervals.of(component, kinds[component]):
            only_from = laid_up.get(here.boat) if interval in intervals.lay_up else None
            if interval in intervals.lay_up and only_from is None:
                continue
            facts = Facts(
                rule=intervals.rules[interval],
                part=part,
                done=intervals.counting(interval, done.get(component, ()), only_from),
                expires_on=expiry.get(component),
                spans=spans.get(here.boat, ()),
                rate=None if here.meter is None else rates.get(here.meter),
                only_from=only_from,
            )
            yield LineFacts(here.boat, component, interval, facts)


def _rates(
    stays: Iterable[list[Stay]],
    known: dict[int, Timeline],
    spans: dict[int, list[Span]],
    usual: dict[int, Fraction | None],
) -> dict[int, Fraction | None]:
    """What each meter now in use is expected to run on a charter day, in hours."""
    boats = {places[-1].meter: places[-1].boat for places in stays if places[-1].meter in known}
    return {
        meter: rate_of(known[meter].use(spans.get(boat, ())), usual.get(boat))
        for meter, boat in boats.items()
    }


def _stays_of(boats: Collection[int], on: date) -> tuple[dict[int, list[Stay]], dict[int, int]]:
    """Where each component now on the boats has been, oldest first, and its kind."""
    aboard = Q(removed_on__isnull=True) | Q(removed_on__gt=on)
    now = Fitting.objects.standing().filter(aboard, boat__in=boats, fitted_on__lte=on)
    rows = Fitting.objects.standing().filter(component__in=now.values("component"), fitted_on__lte=on)
    stays: dict[int, list[Stay]] = defaultdict(list)
    kinds: dict[int, int] = {}
    columns = ("boat_id", "meter_id", "fitted_on", "dial", "removed_on", "dial_removed")
    for component, kind, *stay in rows.order_by(
        "fitted_on", F("removed_on").asc(nulls_last=True), "pk"
    ).values_list("component_id", "component__kind_id", *columns):
        kinds[component] = kind
        stays[component].append(_as_known(Stay(*stay), on))
    return stays, kinds


def _as_known(stay: Stay, on: date) -> Stay:
    """A stay that ends after the day is one that has not ended."""
    if stay.removed_on is not None and stay.removed_on > on:
        return Stay(stay.boat, stay.meter, stay.fitted_on, stay.dial)
    return stay


def _services(components: Collection[int], on: date) -> dict[int, list[tuple[int, Done]]]:
    rows = Service.objects.standing().filter(component__in=components, done_on__lte=on)
    dials = service_dials(rows)
    done: dict[int, list[tuple[int, Done]]] = defaultdict(list)
    columns = ("component_id", "interval_id", "done_on", "reading_id", "reading__meter_id", "counting")
    for component, interval, day, reading, meter, counting in rows.values_list(*columns):
        done[component].append((interval, Done(day, dials.get(reading), counting, meter)))
    return done


def service_dials(services: models.QuerySet[Service]) -> dict[int, Decimal]:
    """The dial each service's reading shows now, through corrections; one in doubt shows none."""
    ids = services.filter(reading__isnull=False).values("reading")
    dials: dict[int, Decimal] = {}
    later: dict[int, int] = {}
    for pk, dial, standing, void, next_pk in Reading.objects.filter(pk__in=ids).values_list(
        "pk", "dial", "standing", "void", "replaced_by__pk"
    ):
        if next_pk is not None:
            later[pk] = next_pk
        elif standing == Reading.Standing.USED and not void:
            dials[pk] = dial
    return dials | _corrected(later)


def _corrected(later: dict[int, int]) -> dict[int, Decimal]:
    """Dials of readings that others stand for, one query a step of correction."""
    dials: dict[int, Decimal] = {}
    while later:
        rows = {r.pk: r for r in Reading.objects.filter(pk__in=later.values()).select_related("replaced_by")}
        onward: dict[int, int] = {}
        for first, pk in later.items():
            row = rows[pk]
            if (after := getattr(row, "replaced_by", None)) is not None:
                onward[first] = after.pk
            elif row.standing == Reading.Standing.USED and not row.void:
                dials[first] = row.dial
        later = onward
    return dials


def _expiry(components: Collection[int]) -> dict[int, date]:
    """The earliest of the dates printed on each component."""
    rows = PrintedDate.objects.standing().filter(component__in=components, good_through__isnull=False)
    first: dict[int, date] = {}
    for component, good in rows.values_list("component_id", "good_through"):
        first[component] = min(good, first.get(component, good))
    return first


def _intervals(components: Collection[int], kinds: Collection[int], on: date) -> Intervals:
    in_force = (Q(from_on__isnull=True) | Q(from_on__lte=on)) & (
        Q(until_on__isnull=True) | Q(until_on__gte=on)
    )
    wanted = Q(kind__in=kinds) | Q(component__in=components)
    rows = ServiceInterval.objects.filter(in_force & wanted).prefetch_related(
        Prefetch("settled_by", queryset=ServiceInterval.objects.only("pk"))
    )
    found = Intervals({}, defaultdict(list), defaultdict(list), {})
    for interval in rows:
        found.rules[interval.pk] = rule_of(interval)
        found.counted_by[interval.pk] = frozenset({interval.pk, *(i.pk for i in interval.settled_by.all())})
        if interval.in_lay_up:
            found.lay_up.add(interval.pk)
        if interval.kind_id is not None:
            found.of_kind[interval.kind_id].append(interval.pk)
        elif interval.component_id is not None:
            found.of_component[interval.component_id].append(interval.pk)
    return found


def rule_of(interval: ServiceInterval) -> Rule:
    """An interval's row as the forecast reads it."""
    return Rule(
        every_hours=interval.every_hours,
        every_months=interval.every_months,
        first_hours=interval.first_hours,
        first_months=interval.first_months,
        every_charters=interval.every_charters,
        season=(interval.season_opens, interval.season_closes) if interval.season_opens else None,
        on_expiry=interval.on_expiry,
        from_due=interval.counts_from == ServiceInterval.CountsFrom.DUE,
        early_hours=interval.early_hours or ZERO,
        early_days=interval.early_days or 0,
        late_hours=interval.late_hours or ZERO,
        late_days=interval.late_days or 0,
    )
