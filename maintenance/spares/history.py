"""What was done with parts, move by move, and who took the last one twice: rows in, their story out."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q

from fleet.ledger import LedgerQuerySet
from maintenance.spares.facts import as_they_stand
from maintenance.spares.models import Spare, StockMove
from maintenance.spares.stock import Move, Where, first_below

NONE = Decimal(0)
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
    """The move after which the book said less than nothing of a place, what it had there before, and
    where that was nothing, the move that had taken the last; None where the book never had any."""

    flagged: StockMove
    had: Decimal
    before: StockMove | None = None


def taken_twice(wheres: Collection[Where]) -> dict[Where, TakenTwice]:
    """Of places the book says hold less than nothing of a part: who took it there. Three queries, and
    one for each time a move was put right."""
    spares, places = {spare for spare, _ in wheres}, {place for _, place in wheres}
    rows = StockMove.objects.filter(Q(from_place__in=places) | Q(to_place__in=places), spare__in=spares)
    stand = as_they_stand(list(rows.filter(replaces=None).order_by("pk").values_list("pk", flat=True)))
    moves = [stand[first] for first in sorted(stand)]
    steps = [(m.pk, Move(m.spare_id, m.from_place_id, m.to_place_id, m.quantity)) for m in moves]
    asked = set(wheres)
    below = {where: key for where, key in first_below(steps).items() if where in asked}
    befores = _befores(steps, below)
    keys = {*below.values(), *(before for _, before in befores.values() if before)}
    told = StockMove.objects.select_related(*TOLD).in_bulk(keys)
    return {
        where: TakenTwice(told[key], befores[where][0], told.get(befores[where][1] or 0))
        for where, key in below.items()
    }


def _befores(
    steps: Iterable[tuple[int, Move]], below: Mapping[Where, int]
) -> dict[Where, tuple[Decimal, int | None]]:
    """What the book had at each place before the move after which it said less than nothing, and where
    that was nothing the last move out of it. In one go over all of them."""
    sums: dict[Where, Decimal] = defaultdict(Decimal)
    last: dict[Where, int] = {}
    found: dict[Where, tuple[Decimal, int | None]] = {}
    for key, move in steps:
        for place, quantity in ((move.from_place, -move.quantity), (move.to_place, move.quantity)):
            where = (move.spare, place or 0)
            if below.get(where) == key:
                found[where] = (sums[where], last.get(where) if sums[where] <= NONE else None)
            sums[where] += quantity
        last[move.spare, move.from_place or 0] = key
    return found
