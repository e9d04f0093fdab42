"""Whatever is done with spares in whatever order: what came less what went is what lies somewhere, no
row of the ledger ever changes, and nothing of a later day changes an earlier one."""

import os
from collections import defaultdict
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection, transaction
from hypothesis import HealthCheck, Phase, settings
from hypothesis.stateful import invariant, run_state_machine_as_test

from maintenance.ordering.orders import coming, orders_of
from maintenance.spares.facts import hands, lots_at, negative_hands
from maintenance.spares.models import StockMove
from maintenance.spares.stock import Move, first_below
from tests.maintenance.stock_acts import DAYS, stores
from tests.maintenance.stock_book import NONE, Where
from tests.maintenance.stock_orders import StockOrders

EXAMPLES, STEPS = 10, 30  # each run tries the same; FETTLE_STOCK_EXAMPLES tries so many others, longer
MORE = int(os.environ.get("FETTLE_STOCK_EXAMPLES", "0"))
ROWS = "SELECT * FROM maintenance_stockmove ORDER BY id"


class Stores(StockOrders):
    """What holds of the book after each thing done."""

    def __init__(self) -> None:
        super().__init__()
        self.rows: list[tuple[Any, ...]] = []
        self.looks = 0
        self.before: dict[date, dict[Where, Decimal]] = {}

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.story.__exit__(None, None, None)

    @invariant()
    def the_ledger_is_only_added_to(self) -> None:
        with connection.cursor() as cursor:
            rows = cursor.execute(ROWS).fetchall()
        assert rows[: len(self.rows)] == self.rows
        assert len(rows) == sum(len(one.rows) for one in self.book.entries)
        self.rows = rows

    @invariant()
    def it_says_what_was_done_of_each_day(self) -> None:
        """Of today and, in turn, of each day before."""
        places = [place.pk for place in (*self.places, self.astray)]
        self.before = {day: held for day, held in self.before.items() if day < self.since}
        self.since, self.looks = self.today + timedelta(1), self.looks + 1
        for ago in (0, 1 + self.looks % DAYS):
            day = self.today - timedelta(ago)
            held = some(hands(places, on=day))
            assert held == self.before.setdefault(day, held)
            assert held == self.book.held(day)
            assert lots_at(places, on=day) == self.book.lots(day)

    @invariant()
    def what_came_less_what_went_lies_somewhere(self) -> None:
        held, by_spare, by_place = hands(), defaultdict(Decimal), defaultdict(Decimal)
        for (spare, place), number in held.items():
            by_spare[spare] += number
            by_place[place] += number
        assert {spare.pk: by_spare[spare.pk] for spare in self.spares} == {
            spare.pk: self.book.came_less_went(spare.pk) for spare in self.spares
        }
        assert sum(by_place.values()) == sum(by_spare.values())
        assert some(held) == self.book.held()
        assert lots_at() == self.book.lots()

    @invariant()
    def less_than_nothing_is_a_count_to_make(self) -> None:
        found = negative_hands(self.base.pk, [boat.pk for boat in self.boats])
        below = {where: number for where, number in self.book.held().items() if number < NONE}
        assert {(one.spare.pk, one.place.pk): one.on_hand for one in found} == below
        if self.last:
            where = (self.book.now_of(self.last).spare, self.book.now_of(self.last).from_place)
            assert first_below(standing())[where] == self.last
            self.last = None

    @invariant()
    def orders_stand_as_what_came_of_them_says(self) -> None:
        found = orders_of(self.base.pk, on=self.today)
        told = {one.order.pk: one for one in found}
        assert told.keys() == self.book.orders.keys()
        received = defaultdict(Decimal)
        for one in self.book.standing():
            received[one.spare] += one.quantity if one.why == "received" else NONE
        waited = defaultdict(Decimal)
        for key, ours in self.book.orders.items():
            assert (told[key].state, told[key].late) == (ours.word, ours.late(self.today))
            for line in told[key].lines:
                spare = line.row.spare_id
                assert line.asked.came == ours.came_of(spare)
                received[spare] -= line.asked.came
                waited[spare] += ours.on_its_way(spare)
        assert all(left >= NONE for left in received.values()), "more came of orders than was received"
        on_the_way = {spare: sum(one.quantity for one in of) for spare, of in coming(found).items()}
        assert on_the_way == some(waited)


def some(numbers: dict[Any, Decimal]) -> dict[Any, Decimal]:
    """Those that are not nothing."""
    return {key: number for key, number in numbers.items() if number}


def standing() -> list[tuple[int, Move]]:
    """What stands, in the order it was recorded."""
    columns = ("pk", "spare_id", "from_place_id", "to_place_id", "quantity")
    rows = StockMove.objects.standing().order_by("pk").values_list(*columns)
    return [(key, Move(*row)) for key, *row in rows]


@pytest.mark.django_db
def test_in_any_order_of_moves_what_came_less_what_went_lies_somewhere_and_no_row_changes():
    stores()
    run_state_machine_as_test(
        Stores,
        settings=settings(
            max_examples=MORE or EXAMPLES,
            stateful_step_count=50 if MORE else STEPS,
            derandomize=not MORE,
            deadline=None,
            database=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        ),
    )
