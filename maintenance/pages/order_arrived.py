"""What came of an order so far, and the way back from today's mistakes."""

from collections.abc import Iterator, Sequence
from typing import Any

from fleet.pages.desk import Desk
from maintenance.ordering.models import OrderMove
from maintenance.ordering.orders import Standing
from maintenance.pages import wording
from maintenance.pages.move_words import amount
from maintenance.spares.facts import as_they_stand
from maintenance.spares.models import StockMove


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


def put_on_shelves(moves: Sequence[StockMove], after: Standing, desk: Desk) -> str:
    """What came now and where it lies; what of it is more than was ordered, by the order as it stands
    `after`, and what was past its last good day already."""
    put = "; ".join(
        f"{amount(move.quantity, move.spare)} {move.spare} put on {move.to_place}" for move in moves
    )
    return " ".join([f"{put}.", *_beyond(moves, after), *_past(moves, desk)])


def _beyond(moves: Sequence[StockMove], after: Standing) -> Iterator[str]:
    here = {move.spare_id for move in moves}
    for line in after.lines:
        more = line.asked.came - line.asked.ordered
        if line.row.spare_id in here and more > 0:
            yield f"{line.row.spare}: {amount(more, line.row.spare)} more than ordered."


def _past(moves: Sequence[StockMove], desk: Desk) -> Iterator[str]:
    for move in moves:
        if move.lot is not None and move.lot.expires_on is not None and move.lot.expires_on < desk.today:
            over = wording.day(move.lot.expires_on)
            yield f"{move.spare}: ran out on {over}: it does not count as stock."
