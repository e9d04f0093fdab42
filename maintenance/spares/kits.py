"""One boat's kit, counted line by line and closed again with a new seal, in one go."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Boat, Place
from fleet.people.models import Person
from maintenance.spares.counting import Differs, Line, count_place
from maintenance.spares.facts import allowances, hands, lots_at
from maintenance.spares.models import KitSeal, Lot, Spare
from maintenance.spares.sealing import seal_kit, seals_of

NONE = Decimal(0)


@dataclass(frozen=True, slots=True)
class KitLine:
    """A part at one of her places: of one lot, or of what carries no mark; `wanted` is how many of the
    part should lie there in all, None where nobody said."""

    spare: Spare
    place: Place
    held: Decimal
    wanted: Decimal | None = None
    lot: Lot | None = None
    beside_lots: bool = False

    @property
    def as_it_should_be(self) -> Decimal | None:
        """What a count of it says where nothing is missing; lots are read one by one, so of them
        nobody can say before."""
        return self.wanted if self.lot is None and not self.beside_lots else None


@dataclass(frozen=True, slots=True)
class Sealed:
    """What a count made of the book, and the seal that closes the box now, if one does."""

    counted: int
    differs: tuple[Differs, ...]
    seal: KitSeal | None


def kit_lines(boat: Boat, *, on: date) -> list[KitLine]:
    """Every part that lies, or should lie, at a place of hers, by place and name; lots apart."""
    places = {place.pk: place for place in Place.objects.filter(boat=boat).select_related("parent")}
    held, wanted = hands(places.keys()), allowances(on=on, places=places.keys())
    marked = lots_at(places.keys())
    asked = {where for where, n in [*held.items(), *wanted.items()] if n != NONE} | set(marked)
    spares = Spare.objects.in_bulk({spare for spare, _ in asked})
    lots = Lot.objects.in_bulk({lot for of in marked.values() for lot in of})
    found: list[KitLine] = []
    for where in asked:
        spare, place, of = spares[where[0]], places[where[1]], marked.get(where, {})
        rest, should = held.get(where, NONE) - sum(of.values(), NONE), wanted.get(where)
        if rest or not of:
            found.append(KitLine(spare, place, rest, should, beside_lots=bool(of)))
        found += [KitLine(spare, place, number, should, lots[lot]) for lot, number in of.items()]
    return sorted(found, key=_in_order)


def _in_order(line: KitLine) -> tuple[str, str, int, int]:
    return (line.place.name, line.spare.name, line.spare.pk, line.lot.pk if line.lot else 0)


@transaction.atomic
def count_kit(
    boat: Boat,
    counted: Mapping[Place, Sequence[Line]],
    *,
    number: str = "",
    opened: bool = False,
    day: date,
    at: datetime,
    who: str = "",
    by: Person | None = None,
    client_id: str | None = None,
) -> Sealed:
    """Makes the book say what was counted at her places, and closes the box with the seal of this number,
    or says that it stays `opened`; either without the other. All of it is kept or nothing; sent twice, it
    is kept once. BookMoved, MoveRefused and SealRefused as the acts it is made of."""
    take_turn()
    lines = sum(len(of) for of in counted.values())
    sealed = KitSeal.objects.filter(client_id=client_id).first() if client_id else None
    differs: list[Differs] = []
    for place, of in counted.items():
        once = f"{client_id} {place.pk}" if client_id else None
        differs += count_place(place, of, day=day, at=at, by=by, client_id=once)
    if (number.strip() or opened) and sealed is None:
        seal_kit(boat, number=number, day=day, at=at, who=who, by=by, client_id=client_id)
    return Sealed(lines, tuple(differs), seals_of([boat.pk]).get(boat.pk))
