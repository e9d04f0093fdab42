"""Keeps what went and came in the demo's past two seasons: rows of the past, made together as a file's."""

from collections import defaultdict
from collections.abc import Sequence
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from fleet.bases.models import Base
from fleet.boats.models import Place
from fleet.people.models import Person
from maintenance.exchange.demo.past import Came, Past, Used
from maintenance.exchange.demo.prices import CURRENCY, paid
from maintenance.exchange.demo.stores import SHELF_OF
from maintenance.ordering.models import Order, OrderLine, OrderMove
from maintenance.spares.models import Spare, StockMove

Why = StockMove.Why
OrderKey = tuple[str, date]  # the supplier, and the day it came


class Ledger:
    """The moves and orders of a base's past, by one person."""

    def __init__(self, base: Base, by: Person, day: date) -> None:
        self.base, self.by, self.day = base, by, day
        self.zone = ZoneInfo(base.timezone)
        self.spares = {spare.code: spare for spare in Spare.objects.all()}
        places = Place.objects.select_related("parent", "boat")
        self.kits = {p.boat.code: p for p in places if p.boat is not None and p.parent is None}
        ashore = {_written(p): p for p in places if p.base_id == base.pk and p.parent is not None}
        self.shelves = {spare: ashore[shelf] for spare, shelf in SHELF_OF.items()}

    def keep(self, past: Past) -> None:
        """In the order of their days, what came before what went."""
        came = [
            (one, self._move(one, Why.RECEIVED, one.day, to_place=self.shelves[one.spare]))
            for one in past.came
        ]
        moves = [move for _, move in came]
        moves += [move for one in past.used for move in self._used(one)]
        moves.sort(key=lambda move: move.day)
        StockMove.objects.bulk_create(moves)
        self._orders(came)

    def _used(self, one: Used) -> list[StockMove]:
        shelf = self.shelves[one.spare]
        if not one.from_kit:
            return [self._move(one, Why.USED, one.day, from_place=shelf)]
        kit = self.kits[one.boat]
        filled = self._move(one, Why.MOVED, one.day, from_place=shelf, to_place=kit)
        return [self._move(one, Why.USED, one.day, from_place=kit), filled]

    def _move(self, one: Used | Came, why: str, day: date, **where: Place) -> StockMove:
        stamps = {"recorded_at": self._noon(day), "recorded_by": self.by}
        return StockMove(
            spare=self.spares[one.spare], quantity=one.quantity, why=why, day=day, **where, **stamps
        )

    def _noon(self, day: date) -> datetime:
        return datetime.combine(day, time(12), self.zone)

    def _orders(self, came: Sequence[tuple[Came, StockMove]]) -> None:
        """What one supplier brought on a day was one order."""
        together: dict[OrderKey, list[Came]] = defaultdict(list)
        for one, _ in came:
            together[one.supplier, one.day].append(one)
        orders = {key: self._order(of) for key, of in together.items()}
        Order.objects.bulk_create(orders.values())
        lines = [self._line(orders[one.supplier, one.day], one) for one, _ in came]
        OrderLine.objects.bulk_create(lines)
        pairs = zip(lines, came, strict=True)
        OrderMove.objects.bulk_create([OrderMove(line=line, move=move) for line, (_, move) in pairs])

    def _order(self, of: Sequence[Came]) -> Order:
        sent_on, promised = min(one.sent_on for one in of), max(one.promised_on for one in of)
        days = {"sent_on": sent_on, "expected_on": promised}
        who = {"made_at": self._noon(sent_on), "made_by": self.by}
        return Order(base=self.base, supplier=of[0].supplier, **days, **who)

    def _line(self, order: Order, one: Came) -> OrderLine:
        each = paid(one.spare, one.sent_on, self.day)
        spare = self.spares[one.spare]
        return OrderLine(order=order, spare=spare, quantity=one.quantity, each=each, currency=CURRENCY)


def _written(place: Place) -> str:
    """As stock.csv names it: A3, or the box in it, A3/old numbers."""
    codes = [place.code]
    while place.parent is not None and place.parent.parent_id is not None:
        place = place.parent
        codes.insert(0, place.code)
    return "/".join(codes)
