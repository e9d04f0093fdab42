"""The seal of a boat's kit box: its number, and a new one after somebody opened it."""

from collections.abc import Collection
from datetime import date, datetime

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Boat
from fleet.ledger import correction, enter
from fleet.people.models import Person
from fleet.refused import Refused
from maintenance.spares.facts import kit_of
from maintenance.spares.models import KitSeal
from maintenance.spares.moving import refuse_day


class SealRefused(Refused):
    """A seal that cannot be put on, or one that closes another box."""


def seals_of(boats: Collection[int]) -> dict[int, KitSeal]:
    """The seal that closes each boat's kit now, where one does; one query."""
    rows = KitSeal.objects.standing().filter(place__boat__in=boats).select_related("place")
    latest = {row.place.boat_id: row for row in rows.order_by("day", "pk")}
    return {boat: row for boat, row in latest.items() if boat is not None and row.number}


@transaction.atomic
def seal_kit(
    boat: Boat,
    *,
    number: str,
    day: date,
    at: datetime,
    who: str = "",
    by: Person | None = None,
    client_id: str | None = None,
) -> KitSeal:
    """Puts a seal on a boat's kit box; blank: it stays open. SealRefused where she has no place for a
    kit, or where the number closes a box already, hers or another's; MoveRefused for a day to come."""
    take_turn()
    place = kit_of([boat.pk]).get(boat.pk)
    if place is None:
        raise SealRefused(f"boat: wanted a locker or box of {boat.name} first, for her kit to lie in")
    refuse_day(day, place, at)
    number = number.strip()
    if number and (there := seals_of([boat.pk]).get(boat.pk)) and there.number == number:
        raise SealRefused(f"number: found {number}; wanted the new one's, for that one is on her box already")
    if number and _closes_another(number, boat):
        raise SealRefused(f"number: found {number}; wanted another, for it closes another boat's kit")
    return enter(KitSeal(place=place, number=number, day=day, who=who), at=at, by=by, client_id=client_id)


@transaction.atomic
def take_back_seal(
    row: KitSeal, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> KitSeal:
    """It was not put on after all: the one before it closes the box again."""
    take_turn()
    undone: KitSeal = correction(row, at=at, by=by, client_id=client_id, void=True)
    return undone


def _closes_another(number: str, boat: Boat) -> bool:
    others = KitSeal.objects.standing().filter(number=number).exclude(place__boat=boat)
    boats = {row.place.boat_id for row in others.select_related("place") if row.place.boat_id is not None}
    return any(seal.number == number for seal in seals_of(boats).values())
