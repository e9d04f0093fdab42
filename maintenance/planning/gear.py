"""What a base's lists of gear ask for and what is in date aboard: it stands here, above the audit."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import date, datetime
from decimal import Decimal

from django.db.models import Q

from fleet.bases.models import Base
from fleet.boats.models import Boat, BoatTerms, Fitting
from fleet.charters.models import Charter
from maintenance.planning.dated import audit_of
from maintenance.safety.audit import IN_DATE
from maintenance.safety.models import Adoption, Requirement
from maintenance.safety.short import Lacking


def short_of(
    base: Base, boats: Mapping[int, Boat], trips: Mapping[int, Charter], *, on: date, now: datetime
) -> dict[int, list[Lacking]]:
    """What is short of each list of the base on each boat, through her next charter; none of it is
    looked up where the base has no list."""
    asked = list(_in_force(base, on))
    if not asked:
        return {}
    aboard = _in_date(base, boats, on, now)
    persons, adopted = _persons(boats, trips, on), _adopted(boats, on)
    found: dict[int, list[Lacking]] = defaultdict(list)
    for boat in boats:
        for r in asked:
            wanted = r.number * (persons[boat] if r.per == Requirement.Per.PERSON else 1)
            there = int(aboard[boat].get(r.kind_id, 0))
            if there < wanted:
                goes_by = r.list in adopted[boat]
                found[boat].append(Lacking(r.pk, r.list, r.kind.name, wanted, there, goes_by, r.source))
    return found


def _in_force(base: Base, on: date) -> Iterable[Requirement]:
    begun = Q(from_on__isnull=True) | Q(from_on__lte=on)
    lasting = Q(until_on__isnull=True) | Q(until_on__gte=on)
    return Requirement.objects.filter(begun, lasting, base=base).select_related("kind")


def _in_date(base: Base, boats: Iterable[int], on: date, now: datetime) -> dict[int, dict[int, Decimal]]:
    """How many of each kind are aboard each boat, those with a date that does not hold left out."""
    wrong = {line.thing.component for line in audit_of(base, on=on, now=now).lines if line.state != IN_DATE}
    there = Q(removed_on__isnull=True) | Q(removed_on__gt=on)
    rows = Fitting.objects.standing().filter(there, boat__in=boats, fitted_on__lte=on)
    found: dict[int, dict[int, Decimal]] = defaultdict(lambda: defaultdict(Decimal))
    columns = ("boat_id", "component_id", "component__kind_id", "component__quantity")
    for boat, component, kind, quantity in rows.values_list(*columns):
        if component not in wrong:
            found[boat][kind] += quantity
    return found


def _persons(boats: Iterable[int], trips: Mapping[int, Charter], on: date) -> dict[int, int]:
    """How many are aboard: of the charter, else as many as she may carry."""
    rows = (
        BoatTerms.objects.standing().filter(boat__in=list(boats), from_on__lte=on).order_by("from_on", "pk")
    )
    may = {boat: persons or 0 for boat, persons in rows.values_list("boat_id", "persons")}
    said = {boat: trip.persons for boat, trip in trips.items() if trip.persons}
    return {boat: said.get(boat) or may.get(boat, 0) for boat in boats}


def _adopted(boats: Iterable[int], on: date) -> dict[int, set[str]]:
    lasting = Q(until_on__isnull=True) | Q(until_on__gte=on)
    rows = Adoption.objects.standing().filter(lasting, boat__in=list(boats), from_on__lte=on)
    found: dict[int, set[str]] = defaultdict(set)
    for boat, name in rows.values_list("boat_id", "list"):
        found[boat].add(name)
    return found
