"""A base's orders as they stand: rows in, lines with what came of them out."""

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from maintenance.ordering.models import Order, OrderLine, OrderMove
from maintenance.ordering.money import Money
from maintenance.ordering.standing import NONE, Asked, Days, Stands, late, stands, waited_for
from maintenance.spares.facts import as_they_stand


@dataclass(frozen=True, slots=True)
class Line:
    """A line, and the days and quantities in which it came."""

    row: OrderLine
    came: tuple[tuple[date, Decimal], ...] = ()

    @property
    def each(self) -> Money | None:
        """What one of them costs, where that is known."""
        return None if self.row.each is None else Money(self.row.each, self.row.currency)

    @property
    def asked(self) -> Asked:
        return Asked(self.row.quantity, sum((quantity for _, quantity in self.came), NONE))


@dataclass(frozen=True, slots=True)
class Standing:
    """An order with its lines, how it stands, and for how many days it is late."""

    order: Order
    lines: tuple[Line, ...]
    state: Stands
    late: int

    @property
    def days(self) -> Days:
        return days_of(self.order)

    @property
    def open(self) -> bool:
        """Whether something is still to be done about it."""
        return self.state in (Stands.TO_SEND, Stands.SENT, Stands.PART)


@dataclass(frozen=True, slots=True)
class Coming:
    """So much of a part on its way, and when it should be here where anybody knows."""

    quantity: Decimal
    order: Order
    expected_on: date | None


def days_of(order: Order) -> Days:
    return Days(order.sent_on, order.expected_on, order.closed_on)


def asked_of(order: Order) -> list[Asked]:
    """What was ordered and what came, line by line."""
    return [line.asked for line in _lines([order.pk]).get(order.pk, ())]


def orders_of(base: int, *, on: date, orders: Collection[int] | None = None) -> list[Standing]:
    """A base's orders, or those of these, the newest first; four queries, and one for what was
    put right since."""
    rows = Order.objects.filter(base=base).select_related("base", "made_by")
    if orders is not None:
        rows = rows.filter(pk__in=orders)
    found = list(rows)
    lines = _lines([order.pk for order in found])
    return [_standing(order, tuple(lines.get(order.pk, ())), on) for order in found]


def _standing(order: Order, lines: tuple[Line, ...], on: date) -> Standing:
    asked, days = [line.asked for line in lines], days_of(order)
    return Standing(order, lines, stands(days, asked), late(days, asked, on=on))


def _lines(orders: Collection[int]) -> dict[int, list[Line]]:
    links = OrderMove.objects.filter(line__order__in=orders).values_list("line_id", "move_id").order_by("pk")
    moves = as_they_stand([key for _, key in links])
    came: dict[int, list[tuple[date, Decimal]]] = defaultdict(list)
    for line, key in links:
        if (move := moves.get(key)) is not None:
            came[line].append((move.day, move.quantity))
    found: dict[int, list[Line]] = defaultdict(list)
    lines = OrderLine.objects.filter(order__in=orders).select_related("spare").order_by("pk")
    for line_row in lines:
        found[line_row.order_id].append(Line(line_row, tuple(came[line_row.pk])))
    return found


def coming(orders: Iterable[Standing]) -> dict[int, list[Coming]]:
    """What is on its way of each part, the soonest first, what nobody knows the day of last."""
    found: dict[int, list[Coming]] = defaultdict(list)
    for one in orders:
        for line in one.lines:
            if (quantity := waited_for(one.days, line.asked)) > NONE:
                found[line.row.spare_id].append(Coming(quantity, one.order, one.order.expected_on))
    for of in found.values():
        of.sort(key=lambda c: c.expected_on or date.max)
    return dict(found)


def written(orders: Iterable[Standing]) -> dict[int, Decimal]:
    """What stands of each part in orders that are to be sent still."""
    found: dict[int, Decimal] = defaultdict(Decimal)
    for one in orders:
        if one.state is Stands.TO_SEND:
            for line in one.lines:
                found[line.row.spare_id] += line.row.quantity
    return dict(found)


def took(orders: Iterable[Standing]) -> dict[int, list[int]]:
    """The days from sending to the first of each part coming, by part, the latest order last."""
    found: dict[int, list[int]] = defaultdict(list)
    for one in _by_sending(orders):
        for line in one.lines:
            if line.came and one.order.sent_on is not None:
                found[line.row.spare_id].append(_days(one.order.sent_on, line))
    return dict(found)


def took_from(orders: Iterable[Standing]) -> dict[str, list[int]]:
    """The same by supplier: the longest of each order's lines."""
    found: dict[str, list[int]] = defaultdict(list)
    for one in _by_sending(orders):
        days = [_days(one.order.sent_on, line) for line in one.lines if line.came and one.order.sent_on]
        if days:
            found[one.order.supplier].append(max(days))
    return dict(found)


def _by_sending(orders: Iterable[Standing]) -> list[Standing]:
    sent = [one for one in orders if one.order.sent_on is not None]
    return sorted(sent, key=lambda one: (one.order.sent_on or date.max, one.order.pk))


def _days(sent_on: date, line: Line) -> int:
    first = min(day for day, _ in line.came)
    return max((first - sent_on) // timedelta(days=1), 0)
