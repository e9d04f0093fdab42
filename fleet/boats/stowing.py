"""What can be done with places, hour meters and kinds: each is added or described anew."""

from collections.abc import Sequence

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.actions import set_kind_dates
from fleet.boats.models import Kind, Meter, Place
from fleet.refused import Refused, Taken


class PlaceRefused(Refused):
    """A place that cannot be where it is said to be."""


@transaction.atomic
def keep_place(place: Place) -> Place:
    """Keeps a place, new or changed; PlaceRefused where it is in no store and on no boat, or inside
    one that is elsewhere or in itself; Taken where its code is, beside it."""
    take_turn()
    _refuse_astray(place)
    if (place.base_id is None) == (place.boat_id is None):
        raise PlaceRefused("base: wanted a base or a boat, one of the two")
    _refuse_parent(place)
    beside = Place.objects.filter(base=place.base_id, boat=place.boat_id, parent=place.parent_id)
    if beside.filter(code=place.code).exclude(pk=place.pk).exists():
        raise Taken("code", place.code)
    place.full_clean()
    place.save()
    return place


def _refuse_astray(place: Place) -> None:
    """Where a base's book has what is looked for is found by its code, and holds no other place."""
    there = Place.objects.filter(pk=place.pk).first() if place.pk else None
    above = place.parent
    if there is not None and there.sort == Place.Sort.ASTRAY:
        raise PlaceRefused("sort: wanted another place, for this is where what is looked for stands")
    if above is not None and above.sort == Place.Sort.ASTRAY:
        raise PlaceRefused("parent: wanted a place where something can lie")


def _refuse_parent(place: Place) -> None:
    above = place.parent
    if above is not None and (above.base_id, above.boat_id) != (place.base_id, place.boat_id):
        raise PlaceRefused("parent: wanted a place of the same base or on the same boat")
    while above is not None:
        if above.pk == place.pk:
            raise PlaceRefused("parent: wanted a place that is not inside this one")
        above = above.parent


@transaction.atomic
def keep_meter(meter: Meter) -> Meter:
    """Keeps an hour meter, new or changed; Taken where another aboard has its name."""
    take_turn()
    if Meter.objects.filter(boat=meter.boat_id, name=meter.name).exclude(pk=meter.pk).exists():
        raise Taken("name", meter.name)
    meter.full_clean()
    meter.save()
    return meter


@transaction.atomic
def keep_kind(kind: Kind, *, dates: Sequence[str] | None = None) -> Kind:
    """Keeps a kind, new or changed, and the dates it carries where they are said; Taken where another
    has its code, KindDatesRefused where it cannot carry those."""
    take_turn()
    if Kind.objects.filter(code=kind.code).exclude(pk=kind.pk).exists():
        raise Taken("code", kind.code)
    kind.full_clean()
    kind.save()
    if dates is not None:
        set_kind_dates({kind: dates})
    return kind
