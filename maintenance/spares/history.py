"""What was done with parts, move by move, and who took the last one twice: rows in, their story out."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db.models import Q

from fleet.ledger import LedgerQuerySet
from maintenance.spares.facts import as_they_stand
from maintenance.spares.models import Spare, StockMove
from maintenance.spares.stock import Move, Where, first_below

TOLD = ("spare", "lot", "recorded_by", "from_place__parent", "to_place__parent")


def moves_of(
    spare: Spare, places: Collection[int], *, limit: int, before: int | None = None
) -> list[StockMove]:
    """The last moves of a part from or to some places, the latest written down first; those before one
    of them, where it is named. One query."""
    here = Q(from_place__in=places) | Q(to_place__in=places)
    rows: LedgerQuerySet = StockMove.objects.standing().filter(here, spare=spare)
    if before is not None:
        rows = rows.filter(pk__lt=before)
    return list(rows.select_related(*TOLD).order_by("-pk")[:limit])


def firsts_of(moves: Iterable[StockMove]) -> dict[int, int]:
    """The key each move was first kept under, which jobs, returns and orders name; a query for each
    time one was put right."""
    found = {move.pk: move.replaces_id or move.pk for move in moves}
    ahead = {first for key, first in found.items() if first != key}
    while ahead:
        rows = StockMove.objects.filter(pk__in=ahead, replaces__isnull=False)
        before = dict(rows.values_list("pk", "replaces_id"))
        found = {key: before.get(first, first) for key, first in found.items()}
        ahead = set(before.values())
    return found


@dataclass(frozen=True, slots=True)
class TakenTwice:
    """The move after which the book said less than nothing of a place, and the one that had taken the
    last there was before; None where the book never had any."""

    flagged: StockMove
    before: StockMove | None = None


def taken_twice(wheres: Collection[Where]) -> dict[Where, TakenTwice]:
    """Of places the book says hold less than nothing of a part: who took it there. Three queries, and
    one for each time a move was put right."""
    spares, places = {spare for spare, _ in wheres}, {place for _, place in wheres}
    rows = StockMove.objects.filter(Q(from_place__in=places) | Q(to_place__in=places), spare__in=spares)
    stand = as_they_stand(list(rows.filter(replaces=None).order_by("pk").values_list("pk", flat=True)))
    moves = [stand[first] for first in sorted(stand)]
    below = first_below([(m.pk, Move(m.spare_id, m.from_place_id, m.to_place_id, m.quantity)) for m in moves])
    last = _taken_before(moves, below)
    keys = {key for where in wheres if where in below for key in (below[where], last.get(where)) if key}
    told = StockMove.objects.select_related(*TOLD).in_bulk(keys)
    return {
        where: TakenTwice(told[below[where]], told.get(last.get(where, 0)))
        for where in wheres
        if where in below
    }


def _taken_before(moves: Iterable[StockMove], below: dict[Where, int]) -> dict[Where, int]:
    """The last move out of each place before the one after which the book said less than nothing."""
    last: dict[Where, int] = {}
    over: dict[Where, bool] = defaultdict(bool)
    for move in moves:
        where = (move.spare_id, move.from_place_id or 0)
        over[where] = over[where] or below.get(where) == move.pk
        if not over[where]:
            last[where] = move.pk
    return last
