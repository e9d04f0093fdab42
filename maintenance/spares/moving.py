"""What can be done with stock one move at a time: receive, use, move, scrap, send back; and put a move
right."""

from datetime import date, datetime
from decimal import Decimal
from typing import Any, cast

from django.db import transaction
from django.db.models import Q

from fleet.bases.turns import take_turn
from fleet.boats.dates import spoken
from fleet.boats.facts import today_of
from fleet.boats.models import SINCE_EVER, Place
from fleet.ledger import correction, enter, latest, take_back
from fleet.people.models import Person
from fleet.refused import Refused, TooLate
from maintenance.spares.lots import LotRefused, held_of, lies_at, refuse_lot
from maintenance.spares.models import Lot, Spare, StockMove

Why = StockMove.Why
# Whether a move comes from a place of ours, and whether it goes to one; a count says which itself.
ENDS = {
    Why.RECEIVED.value: (False, True),
    Why.USED.value: (True, False),
    Why.MOVED.value: (True, True),
    Why.SCRAPPED.value: (True, False),
    Why.SENT_BACK.value: (True, False),
}


class MoveRefused(Refused):
    """A move of stock that cannot be as said; `field` names what to put right. Never for want of stock."""


class CountedSince(TooLate):
    """A move that a later count knew of: undone now, the book would be wrong."""


class FoundSince(TooLate):
    """That something was not where it should be, of what was found or given up since."""


@transaction.atomic
def move_stock(
    spare: Spare,
    *,
    why: str,
    quantity: Decimal,
    day: date,
    at: datetime,
    from_place: Place | None = None,
    to_place: Place | None = None,
    lot: Lot | None = None,
    words: str = "",
    by: Person | None = None,
    client_id: str | None = None,
) -> StockMove:
    """Keeps that so much was received, used, moved, scrapped or sent back, of a lot where one is named.
    Never refused for want of stock: the book then goes below zero and the place is to be counted."""
    _refuse_ends(why, from_place, to_place)
    for place in filter(None, (from_place, to_place)):
        refuse_day(day, place, at)
    _refuse_nothing(quantity)
    refuse_lot(spare, lot, quantity)
    if why == Why.RECEIVED:
        _refuse_here_already(lot)
    where = {"from_place": from_place, "to_place": to_place, "lot": lot}
    move = StockMove(spare=spare, quantity=quantity, why=why, day=day, words=words, **where)
    return enter(move, at=at, by=by, client_id=client_id)


@transaction.atomic
def correct_move(
    move: StockMove,
    *,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
    quantity: Decimal | None = None,
    day: date | None = None,
    words: str | None = None,
) -> StockMove:
    """Puts another quantity, day or other words in place of a move's; CountedSince where a count knew of
    it, TooLate where another row stands for it already."""
    take_turn()
    _refuse_gone(move)
    if quantity is not None:
        _refuse_nothing(quantity)
        refuse_lot(move.spare, move.lot, quantity)
        if move.why == Why.COUNTED:
            raise MoveRefused("quantity: wanted a new count, for this one was counted")
        _refuse_counted(move)
        _refuse_found(move, move.quantity - quantity)
    place = move.from_place or move.to_place
    if day is not None and place is not None:
        refuse_day(day, place, at)
    changed = {"quantity": quantity, "day": day, "words": words}
    said = {name: value for name, value in changed.items() if value is not None}
    if not said:
        raise MoveRefused("quantity: wanted another one, or another day or other words")
    row: StockMove = correction(move, at=at, by=by, client_id=client_id, **said)
    return row


@transaction.atomic
def void_move(
    move: StockMove, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> StockMove:
    """Takes a move back: what it stood for stands again, or nothing does. CountedSince where a count knew
    of it, FoundSince where it was looked for and found."""
    take_turn()
    _refuse_counted(move)
    _refuse_found(move, move.quantity)
    row: StockMove = take_back(move, at=at, by=by, client_id=client_id)
    return row


def refuse_day(day: date, place: Place, at: datetime) -> None:
    """MoveRefused for a day to come at a place, or one before there was anything."""
    today = place.base.day_of(at) if place.base is not None else today_of(place.boat, at)  # type: ignore[arg-type]
    if not SINCE_EVER <= day <= today:
        raise MoveRefused(f"day: wanted a day up to today, {spoken(today)}")


def _refuse_nothing(quantity: Decimal) -> None:
    if quantity <= 0:
        raise MoveRefused("quantity: wanted how many, above 0")


def _refuse_ends(why: str, from_place: Place | None, to_place: Place | None) -> None:
    ends = {"from_place": from_place, "to_place": to_place}
    for wanted, (name, place) in zip(ENDS[why], ends.items(), strict=True):
        if wanted and place is None:
            raise MoveRefused(f"{name}: wanted a place, for it was {why}")
        if not wanted and place is not None:
            raise MoveRefused(f"{name}: wanted none, for it was {why}")
    if from_place == to_place:
        raise MoveRefused("to_place: wanted another place than the one it comes from")


def _refuse_here_already(lot: Lot | None) -> None:
    """One unit with a number of its own comes once, until it is gone again."""
    if lot is None or not lot.serial:
        return
    for place in lies_at(lot):
        raise LotRefused(f"serial: found {lot.serial}, which lies at {place} by the book; wanted another")


def _refuse_found(move: StockMove, less: Decimal) -> None:
    """Where so much less was looked for than was found already."""
    if less <= 0 or move.to_place is None or move.to_place.sort != Place.Sort.ASTRAY:
        return
    if held_of(move.spare, move.to_place, move.lot) < less:
        raise FoundSince(f"{move.spare} was found or given up since: take that back first")


def _refuse_gone(move: StockMove) -> None:
    last: StockMove = latest(StockMove.objects.get(pk=move.pk))
    if last.void or last.pk != move.pk:
        raise TooLate("It was put right or taken back since: look at it again")


def _refuse_counted(move: StockMove) -> None:
    """A count that was put right since was made when it was first kept."""
    first = _first(move).pk
    places = [place for place in (move.from_place_id, move.to_place_id) if place is not None]
    counts = StockMove.objects.standing().filter(why=Why.COUNTED, spare=move.spare_id, pk__gt=first)
    counts = counts.filter(Q(from_place__in=places) | Q(to_place__in=places))
    if any(_first(count).pk > first for count in counts):
        raise CountedSince(f"{move.spare} was counted there since: count again instead")


def _first(move: StockMove) -> StockMove:
    """The row it was first kept as."""
    first: Any = move
    while first.replaces is not None:
        first = first.replaces
    return cast(StockMove, first)
