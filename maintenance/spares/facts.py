"""What lies where and what should: rows in, quantities out."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q

from fleet.boats.models import Place
from maintenance.spares.models import Allowance, Spare, StockMove
from maintenance.spares.stock import Move, Where, on_hand, to_count


def hands(places: Collection[int] | None = None) -> dict[Where, Decimal]:
    """On hand by spare and place, of some places or all; one query."""
    rows = StockMove.objects.standing()
    if places is not None:
        rows = rows.filter(Q(from_place__in=places) | Q(to_place__in=places))
    columns = ("spare_id", "from_place_id", "to_place_id", "quantity")
    held = on_hand(Move(*row) for row in rows.values_list(*columns))
    return held if places is None else {w: q for w, q in held.items() if w[1] in set(places)}


def book_before(move: StockMove) -> Decimal:
    """What the book said of a move's place just before it; one query."""
    place = move.to_place_id or move.from_place_id
    rows = StockMove.objects.standing(move.recorded_at).filter(spare=move.spare_id, pk__lt=move.pk)
    rows = rows.filter(Q(from_place=place) | Q(to_place=place))
    columns = ("spare_id", "from_place_id", "to_place_id", "quantity")
    held = on_hand(Move(*row) for row in rows.values_list(*columns))
    return held.get((move.spare_id, place or 0), Decimal(0))


def allowances(*, on: date, places: Collection[int] | None = None) -> dict[Where, Decimal]:
    """What should lie at each place on a day, the latest word counting."""
    rows = Allowance.objects.filter(place__isnull=False, from_on__lte=on).order_by("from_on", "pk")
    if places is not None:
        rows = rows.filter(place__in=places)
    return {
        (spare, place): quantity
        for spare, place, quantity in rows.values_list("spare_id", "place_id", "quantity")
    }


@dataclass(frozen=True, slots=True)
class ToCount:
    """A place the book says holds less than nothing of a spare."""

    spare: Spare
    place: Place
    on_hand: Decimal


def negative_hands(base: int, boats: Collection[int]) -> list[ToCount]:
    """The counts to make in a base's stores and aboard its boats; three queries."""
    places = Place.objects.filter(Q(base=base) | Q(boat__in=boats)).select_related("parent").in_bulk()
    held = hands(places.keys())
    wrong = to_count(held)
    spares = Spare.objects.in_bulk({spare for spare, _ in wrong})
    found = [ToCount(spares[spare], places[place], held[spare, place]) for spare, place in wrong]
    return sorted(found, key=lambda c: (c.spare.name, str(c.place)))
