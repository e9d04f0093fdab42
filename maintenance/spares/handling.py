"""One thing done with a part by hand: it came, went, was put elsewhere, with what is written on it."""

from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Place
from fleet.people.models import Person
from maintenance.spares.lots import Marked, keep_lot, lot_taken
from maintenance.spares.models import Lot, Spare, StockMove
from maintenance.spares.moving import ENDS, MoveRefused, move_stock


@dataclass(frozen=True, slots=True)
class Handled:
    """What was done. What came may be `marked`; what is taken is of a `lot`, or `unmarked`, or it is
    left to the place where only one lot lies."""

    why: str
    quantity: Decimal
    day: date
    from_place: Place | None = None
    to_place: Place | None = None
    marked: Marked = field(default_factory=Marked)
    lot: Lot | None = None
    unmarked: bool = False
    words: str = ""


@transaction.atomic
def handle(
    spare: Spare, done: Handled, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> StockMove:
    """Keeps it, with the lot that came. LotRefused where several lots lie at a place and nobody says
    which was taken; MoveRefused as `move_stock` does."""
    take_turn()
    if done.why not in ENDS:
        raise MoveRefused(f"why: wanted one of {', '.join(ENDS)}")
    lot = done.lot
    if done.why == StockMove.Why.RECEIVED:
        lot = keep_lot(spare, done.marked) if done.marked else None
    elif done.from_place is not None:
        lot = lot_taken(spare, done.from_place, lot=lot, unmarked=done.unmarked)
    where: dict[str, Any] = {"from_place": done.from_place, "to_place": done.to_place, "lot": lot}
    said: dict[str, Any] = {"day": done.day, "words": done.words, "at": at, "by": by, "client_id": client_id}
    return move_stock(spare, why=done.why, quantity=done.quantity, **where, **said)
