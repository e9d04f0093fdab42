"""Places things lie in and hour meters, to add and to change."""

from typing import Any

from django.db.models import Q, QuerySet

from fleet.api.boat_register import bases_of
from fleet.api.boats import Meters as ShownMeters
from fleet.api.boats import Places as ShownPlaces
from fleet.api.caller import Caller
from fleet.api.fields import Body, OneOf, Ref, boats_of
from fleet.api.register_fields import Code, Line
from fleet.api.registers import Register
from fleet.boats.models import Meter, Place
from fleet.boats.stowing import keep_meter, keep_place

CHANGES = {"GET": "see", "POST": "change boats", "PATCH": "change boats"}


def places_of_bases(caller: Caller) -> QuerySet[Place]:
    """The stores of one's bases and the places aboard their boats."""
    return Place.objects.filter(Q(base__in=caller.bases) | Q(boat__in=caller.boats))


class PlaceChange(Body):
    """What a place is called, and what it is inside of."""

    code = Code()
    name = Line(max_length=120)
    sort = OneOf(choices=[sort for sort in Place.Sort.values if sort != Place.Sort.ASTRAY])
    parent = Ref(  # type: ignore[assignment]
        places_of_bases, by="pk", required=False, allow_null=True, help_text="the id of what it is inside of"
    )


class PlaceBody(PlaceChange):
    """A place in a base's store or aboard a boat: one of the two."""

    base = Ref(bases_of, required=False, allow_null=True, help_text="the base's code")
    boat = Ref(boats_of, required=False, allow_null=True, help_text="the boat's code")


class Places(ShownPlaces, Register):
    """Where things lie: in your bases' stores, and aboard."""

    takes, changes, needs = PlaceBody, PlaceChange, CHANGES

    def add(self, given: dict[str, Any]) -> Place:
        place = Place(**given)
        if place.base_id or place.boat_id:
            self.allow_at(self.base_of(place))
        return keep_place(place)

    def change(self, row: Place, given: dict[str, Any]) -> None:
        for name, value in given.items():
            setattr(row, name, value)
        keep_place(row)


class MeterChange(Body):
    """What an hour meter is called aboard, and when it counts."""

    name = Line(max_length=64)
    counts = OneOf(choices=Meter.Counts.values, required=False)


class MeterBody(MeterChange):
    """An hour meter of a boat."""

    boat = Ref(boats_of, help_text="her code")


class Meters(ShownMeters, Register):
    """The hour meters aboard."""

    takes, changes, needs = MeterBody, MeterChange, CHANGES

    def add(self, given: dict[str, Any]) -> Meter:
        self.allow_at(self.caller.boats[given["boat"].pk])
        return keep_meter(Meter(**given))

    def change(self, row: Meter, given: dict[str, Any]) -> None:
        for name, value in given.items():
            setattr(row, name, value)
        keep_meter(row)
