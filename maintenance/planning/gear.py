"""What a base's lists of gear ask for and what is in date aboard: it stands here, above the audit."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Q

from fleet.bases.models import Base
from fleet.boats.models import Boat, BoatTerms, Fitting
from fleet.charters.models import Charter
from maintenance.planning.dated import audit_of
from maintenance.safety.audit import IN_DATE, Line, state_of
from maintenance.safety.models import Adoption, Requirement
from maintenance.safety.short import Asked, Lacking


def short_of(
    base: Base, boats: Mapping[int, Boat], trips: Mapping[int, Charter], *, on: date, now: datetime
) -> dict[int, list[Lacking]]:
    """What is short of each list of the base on each boat, through her next charter; none of it is
    looked up where the base has no list."""
    asked = asked_of(base, boats, trips, on=on, now=now)
    return {boat: list(lacking_of(of)) for boat, of in asked.items()}


def lacking_of(asked: Iterable[Asked]) -> tuple[Lacking, ...]:
    """What is short of what is asked."""
    return tuple(_lacking(a) for a in asked if a.short)


def asked_of(
    base: Base, boats: Iterable[int], trips: Mapping[int, Charter], *, on: date, now: datetime
) -> dict[int, list[Asked]]:
    """Every clause of the base's lists for each boat, with what is there of it through the charter
    given; the number of queries does not hang on how many there are."""
    boats, clauses = list(boats), list(_in_force(base, on))
    if not clauses or not boats:
        return {}
    there, terms = _aboard(base, boats, trips, on, now), _terms(boats)
    adopted = _adopted(base, boats, on)
    found: dict[int, list[Asked]] = {}
    for boat in boats:
        persons = _persons(trips.get(boat), terms[boat], on)
        found[boat] = [_asked(c, there[boat], persons, c.list in adopted[boat]) for c in clauses]
    return found


@dataclass(slots=True)
class _Aboard:
    """How many of each kind are fitted to a boat, and how many of these no date speaks against."""

    carried: dict[int, Decimal] = field(default_factory=lambda: defaultdict(Decimal))
    in_date: dict[int, Decimal] = field(default_factory=lambda: defaultdict(Decimal))


@dataclass(frozen=True, slots=True)
class _Terms:
    from_on: date
    base: int
    persons: int | None


def _asked(clause: Requirement, there: _Aboard, persons: int | None, adopted: bool) -> Asked:
    per_person = clause.per == Requirement.Per.PERSON
    heads = persons if per_person else 1
    return Asked(
        requirement=clause.pk,
        list=clause.list,
        clause=clause.clause,
        thing=clause.kind.name,
        properties=clause.properties,
        number=clause.number,
        per_person=per_person,
        required=None if heads is None else clause.number * heads,
        carried=int(there.carried.get(clause.kind_id, 0)),
        in_date=int(there.in_date.get(clause.kind_id, 0)),
        adopted=adopted,
        source=clause.source,
    )


def _lacking(a: Asked) -> Lacking:
    return Lacking(a.requirement, a.list, a.thing, a.required or 0, a.in_date, a.adopted, a.source)


def _in_force(base: Base, on: date) -> Iterable[Requirement]:
    begun = Q(from_on__isnull=True) | Q(from_on__lte=on)
    lasting = Q(until_on__isnull=True) | Q(until_on__gte=on)
    return Requirement.objects.filter(begun, lasting, base=base).select_related("kind")


def _aboard(
    base: Base, boats: list[int], trips: Mapping[int, Charter], on: date, now: datetime
) -> dict[int, _Aboard]:
    """What is aboard each boat by kind. A thing of which no date is asked counts; one with a date that
    does not hold does not, nor one that is away with no lent one in date in its place."""
    lines = audit_of(base, on=on, now=now, boat=boats[0] if len(boats) == 1 else None).lines
    wrong = {line.thing.component for line in lines if not _holds(line, trips.get(line.thing.boat), on)}
    gone = {c.thing.component for c in lines if c.expected.elsewhere and not c.expected.elsewhere.lent}
    there = Q(removed_on__isnull=True) | Q(removed_on__gt=on)
    rows = Fitting.objects.standing().filter(there, boat__in=boats, fitted_on__lte=on)
    found: dict[int, _Aboard] = {boat: _Aboard() for boat in boats}
    columns = ("boat_id", "component_id", "component__kind_id", "component__quantity")
    for boat, component, kind, quantity in rows.values_list(*columns):
        found[boat].carried[kind] += 0 if component in gone else quantity
        found[boat].in_date[kind] += 0 if component in wrong else quantity
    return found


def _holds(line: Line, trip: Charter | None, on: date) -> bool:
    """Whether a date holds until the charter asked about ends, a later one than the next too."""
    if trip is None:
        return line.state == IN_DATE
    read = line.printed.state if line.printed is not None else None
    return state_of(line.good_through, read, on, trip.ends_on) == IN_DATE


def _terms(boats: list[int]) -> dict[int, list[_Terms]]:
    rows = BoatTerms.objects.standing().filter(boat__in=boats).order_by("from_on", "pk")
    found: dict[int, list[_Terms]] = defaultdict(list)
    for boat, *terms in rows.values_list("boat_id", "from_on", "base_id", "persons"):
        found[boat].append(_Terms(*terms))
    return found


def _on(terms: list[_Terms], day: date) -> _Terms | None:
    return next((t for t in reversed(terms) if t.from_on <= day), None)


def _persons(trip: Charter | None, terms: list[_Terms], on: date) -> int | None:
    """How many are aboard: of the charter, else as many as she may carry."""
    held = _on(terms, on)
    return (trip.persons if trip else None) or (held.persons if held else None)


def adoptions(base: Base, boats: list[int], on: date) -> list[Adoption]:
    """That boats go by lists of a base on a day, or will. A list is its base's own: what she went by
    elsewhere, under the same name, is not this one. Two queries."""
    terms = _terms(boats)
    lasting = Q(until_on__isnull=True) | Q(until_on__gte=on)
    rows = Adoption.objects.standing().filter(lasting, boat__in=boats).select_related("boat")
    held = ((row, _on(terms[row.boat_id], row.from_on)) for row in rows.order_by("boat__name", "pk"))
    return [row for row, terms_then in held if terms_then is not None and terms_then.base == base.pk]


def _adopted(base: Base, boats: list[int], on: date) -> dict[int, set[str]]:
    found: dict[int, set[str]] = defaultdict(set)
    for row in adoptions(base, boats, on):
        if row.from_on <= on:
            found[row.boat_id].add(row.list)
    return found
