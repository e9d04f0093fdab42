"""What can be done with an order: make it, send it, say when it comes, take in what came, close it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.models import Place
from fleet.ledger import once
from fleet.people.models import Person
from fleet.refused import Refused
from maintenance.ordering.models import Order, OrderLine, OrderMove
from maintenance.ordering.money import Money
from maintenance.ordering.orders import asked_of, days_of
from maintenance.ordering.standing import Stands, stands
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import Spare, StockMove
from maintenance.spares.moving import move_stock

NONE, UNMARKED = Decimal(0), Marked()


class OrderRefused(Refused):
    """An order that cannot be as said; `field` names what to put right."""


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
def change_order(order: Order, wanted: Sequence[Wanted], *, words: str | None = None) -> Order:
    """Other lines in place of those there are; OrderRefused once it is sent."""
    order = _taken(order)
    if stands(days_of(order), asked_of(order)) is not Stands.TO_SEND:
        raise OrderRefused("lines: it is sent; wanted another order for what is wanted beside")
    _refuse_lines(wanted)
    kept = {one.spare.pk for one in wanted}
    order.lines.exclude(spare__in=kept).delete()
    there = {line.spare_id: line for line in order.lines.all()}
    for one in wanted:
        _keep_line(there.get(one.spare.pk) or OrderLine(order=order, spare=one.spare), one)
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
) -> list[StockMove]:
    """Puts what came of an order on its shelves; more than was ordered is kept as it came, and so is
    what came of one that nobody said was sent: no lead time is learned from it. OrderRefused
    where nothing came, or a line is of another order."""
    order = _taken(order)
    _refuse_closed(order)
    if not came:
        raise OrderRefused("lines: wanted how many came of at least one part")
    moves = []
    for one in came:
        if one.line.order_id != order.pk:
            raise OrderRefused(f"lines: {one.line.spare} is of another order")
        lot = keep_lot(one.line.spare, one.marked) if one.marked else None
        where = {"to_place": one.place, "lot": lot}
        move = move_stock(
            one.line.spare,
            why="received",
            quantity=one.quantity,
            day=day,
            at=at,
            by=by,
            **where,  # type: ignore[arg-type]
        )
        OrderMove.objects.create(line=one.line, move=move)
        moves.append(move)
    return moves


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
