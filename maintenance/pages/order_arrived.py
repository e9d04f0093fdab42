"""What came of an order so far, and the way back from today's mistakes."""

from typing import Any

from fleet.pages.desk import Desk
from maintenance.ordering.models import OrderMove
from maintenance.ordering.orders import Standing
from maintenance.pages import wording
from maintenance.spares.facts import as_they_stand


def arrived(one: Standing, desk: Desk, *, undo: bool) -> list[dict[str, Any]]:
    """Each arrival as it stands now, the last on top; what was recorded today can be taken back by who
    may order."""
    links = OrderMove.objects.filter(line__order=one.order).select_related("move").order_by("-pk")
    moves = as_they_stand([link.move_id for link in links])
    return [_told(link, moves[link.move_id], desk, undo) for link in links if link.move_id in moves]


def _told(link: OrderMove, move: Any, desk: Desk, undo: bool) -> dict[str, Any]:
    return {
        "key": link.pk,
        "move": move,
        "what": f"{wording.quantity(move.quantity)} {move.spare}",
        "day": wording.day(move.day, desk.today),
        "undo": undo and desk.is_today(link.move.recorded_at),
    }
