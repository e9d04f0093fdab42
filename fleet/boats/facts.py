"""Whose boat it is on a day, and where its things may lie."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from datetime import date, datetime

from django.db.models import Q

from fleet.bases.models import Base
from fleet.boats.models import Boat, BoatTerms, Kind, KindDate, Place


def base_of(boat: Boat, on: date) -> Base:
    """The base that looks after a boat on a day."""
    return Base.objects.get(pk=Boat.objects.filter(pk=boat.pk).base_by_boat(on)[boat.pk])


def today_of(boat: Boat, at: datetime) -> date:
    """The calendar day at a boat's base at an instant."""
    return base_of(boat, at.date()).day_of(at)


def laid_up_since(boats: Collection[int], on: date) -> dict[int, date]:
    """The day the present lay-up of each boat began, of those laid up on a day; one query."""
    rows = BoatTerms.objects.standing().filter(boat__in=boats, from_on__lte=on).order_by("from_on", "pk")
    since: dict[int, date] = {}
    for boat, from_on, state in rows.values_list("boat_id", "from_on", "state"):
        if state == BoatTerms.State.LAY_UP:
            since.setdefault(boat, from_on)
        else:
            since.pop(boat, None)
    return since


def places_of(boats: Iterable[int], *, on: date) -> dict[int, list[Place]]:
    """The places a boat may be given spares from: her base's stores, then her own lockers; what is not
    where it should be can be given to nobody."""
    bases = Boat.objects.filter(pk__in=boats).base_by_boat(on)
    rows = Place.objects.filter(Q(base__in=bases.values()) | Q(boat__in=bases)).select_related("parent")
    rows = rows.exclude(sort=Place.Sort.ASTRAY)
    found: dict[int, list[Place]] = defaultdict(list)
    for place in rows.order_by("boat_id", "code"):
        for boat, base in bases.items():
            if place.boat_id == boat or (place.base_id is not None and place.base_id == base):
                found[boat].append(place)
    return {boat: sorted(places, key=lambda p: p.boat_id is not None) for boat, places in found.items()}


def dates_of_kinds(kinds: Collection[int]) -> dict[int, tuple[str, ...]]:
    """Which dates things of these kinds carry: those said of the kind, else its expiry where it is
    said to carry one; two queries."""
    required = Kind.objects.filter(pk__in=kinds, date_required=True).values_list("pk", flat=True)
    said: dict[int, list[str]] = defaultdict(list)
    for kind, what in KindDate.objects.filter(kind__in=kinds).order_by("what").values_list("kind", "what"):
        said[kind].append(what)
    return dict.fromkeys(required, ("expiry",)) | {kind: tuple(whats) for kind, whats in said.items()}


def boats_of_bases(days: Mapping[int, date]) -> dict[int, int]:
    """The boats each base looks after on its day, and whose each is; one query."""
    ever = BoatTerms.objects.standing().filter(base__in=days).values("boat")
    rows = BoatTerms.objects.standing().filter(boat__in=ever).order_by("from_on", "pk")
    of: dict[int, list[tuple[date, int]]] = defaultdict(list)
    for boat, from_on, base in rows.values_list("boat_id", "from_on", "base_id"):
        of[boat].append((from_on, base))
    found = {}
    for boat, terms in of.items():
        for base, day in days.items():
            if [held for from_on, held in terms if from_on <= day][-1:] == [base]:
                found[boat] = base
    return found
