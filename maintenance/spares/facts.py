"""What lies where and what should: rows in, quantities out."""

from collections.abc import Collection
from datetime import date
from decimal import Decimal

from django.db.models import Q

from maintenance.spares.models import Allowance, StockMove
from maintenance.spares.stock import Move, Where, on_hand


def hands(places: Collection[int] | None = None) -> dict[Where, Decimal]:
    """On hand by spare and place, of some places or all; one query."""
    rows = StockMove.objects.standing()
    if places is not None:
        rows = rows.filter(Q(from_place__in=places) | Q(to_place__in=places))
    columns = ("spare_id", "from_place_id", "to_place_id", "quantity")
    held = on_hand(Move(*row) for row in rows.values_list(*columns))
    return held if places is None else {w: q for w, q in held.items() if w[1] in set(places)}


def allowances(*, on: date, places: Collection[int] | None = None) -> dict[Where, Decimal]:
    """What should lie at each place on a day, the latest word counting."""
    rows = Allowance.objects.filter(place__isnull=False, from_on__lte=on).order_by("from_on", "pk")
    if places is not None:
        rows = rows.filter(place__in=places)
    return {(spare, place): quantity for spare, place, quantity in rows.values_list("spare_id", "place_id", "quantity")}
