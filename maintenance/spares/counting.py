"""A count of several lines in one go: what was written down is what lies there, lots counted apart."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from hashlib import sha256
from typing import Any

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.models import Place
from fleet.people.models import Person
from fleet.refused import Refused
from maintenance.spares.actions import count_stock
from maintenance.spares.astray import find, home_of, looked_for_of, miss
from maintenance.spares.facts import lots_at
from maintenance.spares.lots import held_of
from maintenance.spares.models import Lot, Spare, StockMove

NONE = Decimal(0)


@dataclass(frozen=True, slots=True)
class Line:
    """What was counted of a part: of one lot, or of what carries no mark. `book` is what the book said
    to who counted; `looked_for`: what is not there is looked for, not written off."""

    spare: Spare
    counted: Decimal
    book: Decimal
    lot: Lot | None = None
    words: str = ""
    looked_for: bool = False

    @property
    def key(self) -> tuple[int, int]:
        return (self.spare.pk, self.lot.pk if self.lot else 0)


@dataclass(frozen=True, slots=True)
class Differs:
    """A line, and by how much the book was wrong there: more than nothing where more lay there, and
    `found` of these were looked for."""

    line: Line
    by: Decimal
    found: Decimal = NONE


class BookMoved(Refused):
    """Somebody moved or counted something since the counter opened the book: `now` is what it says,
    by the line's key."""

    def __init__(self, now: Mapping[tuple[int, int], Decimal]) -> None:
        self.now = now
        super().__init__("the book has moved since this was opened: wanted another look")


@transaction.atomic
def count_place(
    place: Place,
    lines: Sequence[Line],
    *,
    day: date,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> list[Differs]:
    """Makes the book say what was counted at a place, each lot apart; where it was wrong, by how much.
    Sent twice it is one count. BookMoved where the book says something else than who counted saw;
    MoveRefused where more than the book has would be looked for. All or nothing is kept."""
    take_turn()
    ids = {line.key: _id(client_id, line) for line in lines}
    if kept := _kept(lines, ids, place):
        return kept
    _refuse_moved(place, lines)
    marked_first = sorted(lines, key=lambda line: line.lot is None)
    found = [_differs(line, place, day, at, by, ids[line.key]) for line in marked_first]
    return [one for one in found if one is not None]


def _differs(
    line: Line, place: Place, day: date, at: datetime, by: Person | None, client_id: str | None
) -> Differs | None:
    """Counts a line; of what lies there and is not in the book, what was looked for is found."""
    surplus = line.counted - line.book
    found = min(surplus, looked_for_of(line.spare, place, line.lot, day)) if surplus > NONE else NONE
    said: dict[str, Any] = {"day": day, "at": at, "by": by}
    if found:
        only = client_id if found == surplus else None
        here: dict[str, Any] = {"quantity": found, "words": line.words, "lot": line.lot, "client_id": only}
        find(line.spare, place, base=home_of(place, day), **here, **said)
    all_found = found > NONE and found == surplus
    move = None if all_found else _count(line, place, client_id=client_id, **said)
    if move is None and not found:
        return None
    return Differs(line, found + (_by(move, place) if move is not None else NONE), found)


def _count(
    line: Line, place: Place, *, day: date, at: datetime, by: Person | None, client_id: str | None
) -> StockMove | None:
    said: dict[str, Any] = {
        "lot": line.lot,
        "words": line.words,
        "day": day,
        "at": at,
        "by": by,
        "client_id": client_id,
    }
    if line.looked_for:
        return miss(line.spare, place, quantity=line.book - line.counted, **said)
    there = line.counted
    if line.lot is None:  # counted beside its lots, of which the book has this much by now
        there += sum(lots_at([place.pk]).get((line.spare.pk, place.pk), {}).values(), NONE)
    return count_stock(line.spare, place, counted=there, **said)


def _refuse_moved(place: Place, lines: Sequence[Line]) -> None:
    now = {line.key: held_of(line.spare, place, line.lot) for line in lines}
    if moved := {line.key: now[line.key] for line in lines if now[line.key] != line.book}:
        raise BookMoved(moved)


def _id(client_id: str | None, line: Line) -> str | None:
    """Each line's own, made of the form's; a digest fits the column."""
    return sha256(f"{client_id} {line.key}".encode()).hexdigest() if client_id else None


def _kept(lines: Sequence[Line], ids: Mapping[tuple[int, int], str | None], place: Place) -> list[Differs]:
    """What was kept of the same form before."""
    given = {one: key for key, one in ids.items() if one is not None}
    moves = {given[move.client_id]: move for move in StockMove.objects.filter(client_id__in=given)}
    return [Differs(line, _by(moves[line.key], place)) for line in lines if line.key in moves]


def _by(move: StockMove, place: Place) -> Decimal:
    return move.quantity if move.to_place_id == place.pk else -move.quantity
