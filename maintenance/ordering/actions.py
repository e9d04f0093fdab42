"""What can be done with an order: make it, send it, say when it comes, take in what came, close it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.dates import spoken
from fleet.boats.models import Place
from fleet.ledger import once
from fleet.people.models import Person
from fleet.refused import Refused, TooLate
from maintenance.ordering.models import Order, OrderLine, OrderMove
from maintenance.ordering.money import Money
from maintenance.ordering.orders import asked_of, days_of
from maintenance.ordering.standing import Stands, stands
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import Spare, StockMove
from maintenance.spares.moving import move_stock, void_move

NONE, UNMARKED = Decimal(0), Marked()


class OrderRefused(Refused):
    """An order that cannot be as said; `field` names what to put right."""


class LineRefused(OrderRefused):
    """What came of one line and cannot be put on its shelf as said; the message names the part."""

    def __init__(self, line: OrderLine, wrong: Refused) -> None:
        field = f"{wrong.field}: " if wrong.field else ""
        super().__init__(f"{field}{line.spare.name}: {wrong.wanted}")
        self.line, self.about = line, wrong.wanted


@dataclass(frozen=True, slots=True)
class Wanted:
    """So much of a part, and what one costs there, where that is known."""

    spare: Spare
    quantity: Decimal
    each: Money | None = None


@dataclass(frozen=True, slots=True)
class Came:
    """So much of a line that came, the place it was put, and what is written on it."""

    line: OrderLine
    quantity: Decimal
    place: Place
    marked: Marked = UNMARKED


@transaction.atomic
def make_order(
    base: Base,
    supplier: str,
    wanted: Sequence[Wanted],
    *,
    at: datetime,
    by: Person | None = None,
    number: str = "",
    words: str = "",
    client_id: str | None = None,
) -> Order:
    """Writes an order down, to be sent; the same `client_id` makes one. OrderRefused without a
    supplier or a part, for nothing of one, or for one part twice."""
    take_turn()
    if not supplier.strip():
        raise OrderRefused("supplier: wanted whom it is ordered of")
    _refuse_lines(wanted)

    def keep() -> Order:
        made = {"made_at": at, "made_by": by, "client_id": client_id}
        order = Order(base=base, supplier=supplier.strip(), number=number, words=words, **made)
        order.full_clean()
        order.save()
        for one in wanted:
            _keep_line(OrderLine(order=order, spare=one.spare), one)
        return order

    return once(lambda: Order.objects.filter(client_id=client_id).first() if client_id else None, keep)


@transaction.atomic
def change_order(order: Order, wanted: Sequence[Wanted] | None, *, words: str | None = None) -> Order:
    """Other lines in place of those there are, which stay where none are given, and other words;
    OrderRefused once it is sent."""
    order = _taken(order)
    if stands(days_of(order), asked_of(order)) is not Stands.TO_SEND:
        raise OrderRefused("lines: it is sent; wanted another order for what is wanted beside")
    if wanted is not None:
        _keep_lines(order, wanted)
    return _kept(order) if words is None else _kept(order, words=words)


@transaction.atomic
def send_order(
    order: Order, *, sent_on: date, expected_on: date | None = None, number: str = "", today: date
) -> Order:
    """It went out on a day, and is to be here on another where the supplier said so."""
    order = _taken(order)
    _refuse_closed(order)
    if sent_on > today:
        raise OrderRefused("sent_on: wanted a day up to today")
    _refuse_before(expected_on, sent_on)
    return _kept(order, sent_on=sent_on, expected_on=expected_on, number=number or order.number)


@transaction.atomic
def expect_order(order: Order, *, expected_on: date | None) -> Order:
    """The supplier said another day, or takes the day back."""
    order = _taken(order)
    _refuse_closed(order)
    if order.sent_on is None:
        raise OrderRefused("expected_on: wanted the order sent first")
    _refuse_before(expected_on, order.sent_on)
    return _kept(order, expected_on=expected_on)


@transaction.atomic
def receive_order(
    order: Order,
    came: Sequence[Came],
    *,
    day: date,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> list[StockMove]:
    """Puts what came of an order on its shelves, once for one `client_id`; more than was ordered is kept
    as it came, and so is what came of one that nobody said was sent: no lead time is learned from it.
    OrderRefused where nothing came, it came before it was sent, or a line cannot be as said."""
    order = _taken(order)
    if client_id and (known := _came_before(order, client_id)):
        return known
    _refuse_closed(order)
    if not came:
        raise OrderRefused("lines: wanted how many came of at least one part")
    if order.sent_on is not None and day < order.sent_on:
        raise OrderRefused(f"day: wanted the day it was sent, {spoken(order.sent_on)}, or a later one")
    if others := [one.line.spare for one in came if one.line.order_id != order.pk]:
        raise OrderRefused(f"lines: {others[0]} is of another order")
    stamps = {"day": day, "at": at, "by": by}
    return [_receive(one, stamps | {"client_id": None if n else client_id}) for n, one in enumerate(came)]


def _came_before(order: Order, client_id: str) -> list[StockMove]:
    """What was kept of the same arrival: its first move has the id, the others its moment."""
    first = StockMove.objects.filter(client_id=client_id, order__line__order=order).first()
    if first is None:
        return []
    return list(StockMove.objects.filter(order__line__order=order, recorded_at=first.recorded_at))


def _receive(one: Came, stamps: dict[str, Any]) -> StockMove:
    spare = one.line.spare
    try:
        lot = keep_lot(spare, one.marked) if one.marked else None
        move = move_stock(spare, why="received", quantity=one.quantity, to_place=one.place, lot=lot, **stamps)
    except Refused as wrong:
        raise LineRefused(one.line, wrong) from wrong
    OrderMove.objects.create(line=one.line, move=move)
    return move


@transaction.atomic
def take_back_arrival(order: Order, came: OrderMove, *, at: datetime, by: Person | None = None) -> StockMove:
    """What was put on a shelf by mistake today never came. TooLate on any later day, for which a count
    is made, and where it was counted since."""
    order = _taken(order)
    if came.line.order_id != order.pk:
        raise OrderRefused("lines: that came of another order")
    if order.base.day_of(came.move.recorded_at) != order.base.day_of(at):
        raise TooLate("it was recorded on an earlier day: count the shelf instead")
    return void_move(came.move, at=at, by=by)


@transaction.atomic
def close_order(order: Order, *, on: date, why: str) -> Order:
    """Nothing more is waited for. OrderRefused without a reason."""
    order = _taken(order)
    _refuse_closed(order)
    if not why.strip():
        raise OrderRefused("why: wanted why nothing more is waited for")
    return _kept(order, closed_on=on, closed_why=why.strip())


@transaction.atomic
def open_again(order: Order) -> Order:
    """What is still to come is waited for again."""
    return _kept(_taken(order), closed_on=None, closed_why="")


def _taken(order: Order) -> Order:
    """The order as it is now, and nobody else's turn until this is done."""
    take_turn()
    return Order.objects.get(pk=order.pk)


def _kept(order: Order, **changed: object) -> Order:
    for name, value in changed.items():
        setattr(order, name, value)
    order.full_clean()
    order.save()
    return order


def _keep_lines(order: Order, wanted: Sequence[Wanted]) -> None:
    _refuse_lines(wanted)
    kept = {one.spare.pk for one in wanted}
    order.lines.exclude(spare__in=kept).delete()
    there = {line.spare_id: line for line in order.lines.all()}
    for one in wanted:
        _keep_line(there.get(one.spare.pk) or OrderLine(order=order, spare=one.spare), one)


def _keep_line(line: OrderLine, one: Wanted) -> None:
    line.quantity = one.quantity
    line.each, line.currency = (one.each.amount, one.each.currency) if one.each else (None, "")
    line.full_clean()
    line.save()


def _refuse_lines(wanted: Sequence[Wanted]) -> None:
    if not wanted:
        raise OrderRefused("lines: wanted at least one part")
    if len({one.spare.pk for one in wanted}) < len(wanted):
        raise OrderRefused("lines: wanted each part once")
    for one in wanted:
        if one.quantity <= NONE:
            raise OrderRefused(f"lines: wanted how many {one.spare.name}, above 0")


def _refuse_closed(order: Order) -> None:
    if order.closed_on is not None:
        raise OrderRefused("order: it is closed; wanted it opened again first")


def _refuse_before(expected_on: date | None, sent_on: date) -> None:
    if expected_on is not None and expected_on < sent_on:
        raise OrderRefused("expected_on: wanted the day it was sent, or a later one")
