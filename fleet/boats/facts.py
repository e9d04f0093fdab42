"""Whose boat it is on a day, and where its things may lie."""

from collections import defaultdict
from collections.abc import Iterable
from datetime import date, datetime

from django.db.models import Q

from fleet.bases.models import Base
from fleet.boats.models import Boat, Place


def base_of(boat: Boat, on: date) -> Base:
    """The base that looks after a boat on a day."""
    return Base.objects.get(pk=Boat.objects.filter(pk=boat.pk).base_by_boat(on)[boat.pk])


def today_of(boat: Boat, at: datetime) -> date:
    """The calendar day at a boat's base at an instant."""
    return base_of(boat, at.date()).day_of(at)


def places_of(boats: Iterable[int], *, on: date) -> dict[int, list[Place]]:
    """The places a boat may be given spares from: her base's stores, then her own lockers."""
    bases = Boat.objects.filter(pk__in=boats).base_by_boat(on)
    rows = Place.objects.filter(Q(base__in=bases.values()) | Q(boat__in=bases)).select_related("parent")
    found: dict[int, list[Place]] = defaultdict(list)
    for place in rows.order_by("boat_id", "code"):
        for boat, base in bases.items():
            if place.boat_id == boat or (place.base_id is not None and place.base_id == base):
                found[boat].append(place)
    return {boat: sorted(places, key=lambda p: p.boat_id is not None) for boat, places in found.items()}
