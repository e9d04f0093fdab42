"""The demo's store as it stands: orders under way, a belt looked for, kits under seal, what money costs."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from fleet.bases.costs import SaidOfMoney, say_money
from fleet.bases.models import Base
from fleet.boats.models import Boat, Place
from fleet.people.roles import ENGINEER
from maintenance.exchange.demo.moment import HARBOUR, Moment
from maintenance.exchange.demo.prices import CURRENCY, paid
from maintenance.exchange.demo.stores import SHELF_OF
from maintenance.ordering.actions import Came, Wanted, make_order, receive_order, send_order
from maintenance.ordering.models import Order
from maintenance.ordering.money import Money
from maintenance.spares.astray import miss
from maintenance.spares.models import Spare
from maintenance.spares.sealing import seal_kit

DAY = timedelta(days=1)
FIRST_SEAL = 41_207
BROKEN = "cowrie"  # her crew took a belt
MONEY = SaidOfMoney(
    CURRENCY, missed_saturday=Decimal(450), order_cost=Decimal(9), holding_percent=Decimal(20)
)


def supply(now: Moment) -> None:
    """Tells it by the same actions as the pages do."""
    base = Base.objects.get(code=HARBOUR)
    say_money(base, MONEY)
    _late(base, now)
    _half_here(base, now)
    _ordered(base, "Raft station Amparo", {"flare-pack": 2, "hand-flares": 4}, now)
    _looked_for(now)
    _seals(now)


def _late(base: Base, now: Moment) -> None:
    order = _ordered(base, "Drive works Teles", {"drive-seal-kit": 1}, now, ago=23)
    _sent(order, now, ago=23, promised=-2)


def _half_here(base: Base, now: Moment) -> None:
    """One part of it came yesterday, half of what was ordered."""
    order = _ordered(base, "Chandlery Morgado", {"hose-clamp": 20, "winch-kit": 2}, now, ago=6)
    _sent(order, now, ago=6, promised=1)
    line = order.lines.get(spare__code="hose-clamp")
    came = Came(line, Decimal(10), _shelf("hose-clamp"))
    receive_order(order, [came], day=now.day - DAY, at=now.at - DAY, by=now.people[ENGINEER])


def _ordered(base: Base, supplier: str, wanted: dict[str, int], now: Moment, *, ago: int = 0) -> Order:
    spares = {spare.code: spare for spare in Spare.objects.filter(code__in=wanted)}
    lines = [
        Wanted(spares[code], Decimal(many), Money(paid(code, now.day - ago * DAY, now.day), CURRENCY))
        for code, many in wanted.items()
    ]
    return make_order(base, supplier, lines, at=now.at - ago * DAY, by=now.people[ENGINEER])


def _sent(order: Order, now: Moment, *, ago: int, promised: int) -> None:
    sent_on, expected_on = now.day - ago * DAY, now.day + promised * DAY
    send_order(order, sent_on=sent_on, expected_on=expected_on, today=now.day)


def _looked_for(now: Moment) -> None:
    """The book has two of the longer belt, the shelf one."""
    belt, then = Spare.objects.get(code="belt-880"), now.day - 4 * DAY
    said: dict[str, Any] = {"words": "Seen in the van last week", "by": now.people[ENGINEER]}
    miss(belt, _shelf(belt.code), quantity=Decimal(1), day=then, at=now.at - 4 * DAY, **said)


def _shelf(spare: str) -> Place:
    """A shelf of the store, or the box on it."""
    return Place.objects.get(base__code=HARBOUR, code=SHELF_OF[spare].split("/")[-1])


def _seals(now: Moment) -> None:
    """Each kit was closed after the last turnaround; one seal was found broken today."""
    who, day = now.people[ENGINEER], now.last_turnaround
    said: dict[str, Any] = {"who": who.name, "by": who}
    for n, boat in enumerate(Boat.objects.order_by("code"), start=FIRST_SEAL):
        seal_kit(boat, number=f"{n:06d}", day=day, at=now.noon_of(day), **said)
        if boat.code == BROKEN:
            seal_kit(boat, number="", day=now.day, at=now.at, **said)
