"""Parts that are not where they should be: looked for, found elsewhere or given up, never written off
by themselves."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.facts import base_of
from fleet.boats.models import Place
from fleet.people.models import Person
from maintenance.spares.facts import hands
from maintenance.spares.models import Lot, Spare, StockMove
from maintenance.spares.moving import MoveRefused, move_stock

CODE, NAME = "astray", "Not where it should be"


def astray_of(base: Base) -> Place:
    """Where a base's book has what is looked for; made when the first thing is."""
    place, _ = Place.objects.get_or_create(
        base=base, parent=None, code=CODE, defaults={"name": NAME, "sort": Place.Sort.ASTRAY}
    )
    return place


@transaction.atomic
def miss(
    spare: Spare,
    place: Place,
    *,
    quantity: Decimal,
    day: date,
    at: datetime,
    words: str = "",
    lot: Lot | None = None,
    by: Person | None = None,
    client_id: str | None = None,
) -> StockMove:
    """So much of a part is not at its place: from now on it is looked for. MoveRefused where the book
    has none there to miss."""
    take_turn()
    held = hands([place.pk]).get((spare.pk, place.pk), Decimal(0))
    if place.sort == Place.Sort.ASTRAY:
        raise MoveRefused("place: wanted the place it should be at")
    if quantity > held:
        raise MoveRefused(
            f"quantity: wanted up to {max(held, Decimal(0)).normalize():f}, as the book has there"
        )
    home = place.base or base_of(place.boat, day)  # type: ignore[arg-type]
    where = {"from_place": place, "to_place": astray_of(home)}
    said = {"words": words, "lot": lot, "day": day, "at": at, "by": by, "client_id": client_id}
    return move_stock(spare, why="moved", quantity=quantity, **where, **said)  # type: ignore[arg-type]


@transaction.atomic
def find(
    spare: Spare,
    place: Place,
    *,
    base: Base,
    quantity: Decimal,
    day: date,
    at: datetime,
    words: str = "",
    lot: Lot | None = None,
    by: Person | None = None,
    client_id: str | None = None,
) -> StockMove:
    """So much of what was looked for lies at a place. MoveRefused where no more is looked for."""
    take_turn()
    missing = astray_of(base)
    held = hands([missing.pk]).get((spare.pk, missing.pk), Decimal(0))
    if quantity > held:
        raise MoveRefused(f"quantity: wanted up to {held.normalize():f}, as many as are looked for")
    where = {"from_place": missing, "to_place": place}
    said = {"words": words, "lot": lot, "day": day, "at": at, "by": by, "client_id": client_id}
    return move_stock(spare, why="moved", quantity=quantity, **where, **said)  # type: ignore[arg-type]
