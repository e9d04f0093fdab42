"""Orders that come in parts, moves that are put right or taken back, and what is refused: more rules."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from fleet.boats.models import Place
from maintenance.ordering.actions import (
    Came,
    Wanted,
    close_order,
    expect_order,
    make_order,
    open_again,
    receive_order,
    send_order,
)
from maintenance.ordering.models import Order
from maintenance.spares.actions import count_stock, use_spare
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import Spare, StockMove
from maintenance.spares.moving import correct_move, move_stock, void_move
from maintenance.spares.restocking import Fill, fill_kits, to_fill
from tests.maintenance.stock_acts import AGO, ANY, FLAG, PARTS, PLACE, QUANTITY, SHELVES, StockActs
from tests.maintenance.stock_book import NONE, Entry, Ordered, Said

LINES = st.lists(QUANTITY, min_size=1, max_size=PARTS)


def add(sums: dict[Any, Decimal], key: Any, number: Decimal) -> None:
    sums[key] = sums.get(key, NONE) + number


class StockOrders(StockActs):
    """Kits, orders, corrections, ways back, the last one taken twice, and what cannot be."""

    @precondition(lambda self: any(number > NONE for number in self.book.held().values()))
    @rule(k=ANY)
    def two_take_the_last(self, k: int) -> None:
        """Each of two sees the same last ones there and takes them; both are kept."""
        there = sorted((where, number) for where, number in self.book.held().items() if number > NONE)
        (spare, place), number = there[k % len(there)]
        for person in self.people:
            of, at = Spare.objects.get(pk=spare), Place.objects.get(pk=place)
            lot = self.best_lot(of, at, number, self.today)
            move = self.do(use_spare, of, at, quantity=number, day=self.today, by=person)
            assert move.recorded_by == person
            self.enter(move, Said(spare, place, None, number, "used", self.today, lot))
            self.last = move.pk
        assert self.book.of(spare, place) == -number

    @rule(half=FLAG)
    def fill_the_kits(self, half: bool) -> None:
        """Each lacks what the book says, at most all that should lie there; no shelf promises what it has
        not."""
        fills = to_fill(self.base.pk, [boat.pk for boat in self.boats], on=self.today)
        lacks: dict[tuple[int, int], Decimal] = {}
        promised: dict[tuple[int, int], Decimal] = {}
        for fill in fills:
            add(lacks, (fill.spare.pk, fill.place.pk), fill.lacks)
            if fill.from_place is not None:
                add(promised, (fill.spare.pk, fill.from_place.pk), fill.can)
        kits, held = self.places[SHELVES:], self.book.held()
        should = {(spare.pk, kit.pk): Decimal(n + 1) for spare in self.spares for n, kit in enumerate(kits)}
        missing = {where: number - max(held.get(where, NONE), NONE) for where, number in should.items()}
        assert lacks == {where: number for where, number in missing.items() if number > NONE}
        assert all(number <= held.get(where, NONE) for where, number in promised.items())
        can = [(fill, fill.can / 2 if half else fill.can) for fill in fills if fill.can > NONE]
        self.put_aboard([(fill, quantity.quantize(Decimal("0.001"))) for fill, quantity in can])

    def put_aboard(self, fills: list[tuple[Fill, Decimal]]) -> None:
        """As much as was said of each, of lots that hold it."""
        went: dict[tuple[int, int], Decimal] = {}
        for move in self.do(fill_kits, fills, day=self.today) if fills else ():
            ends = move.from_place_id, move.to_place_id
            if move.lot_id is not None:
                assert self.book.of_lot(move.spare_id, ends[0], move.lot_id) >= move.quantity
            said = Said(move.spare_id, *ends, move.quantity, "moved", self.today, move.lot_id)
            self.enter(move, said)
            add(went, (move.spare_id, ends[1]), move.quantity)
        wanted: dict[tuple[int, int], Decimal] = {}
        for fill, quantity in fills:
            add(wanted, (fill.spare.pk, fill.place.pk), quantity)
        assert went == wanted

    def some_order(self, k: int) -> tuple[Order, Ordered]:
        keys = sorted(self.book.orders)
        key = keys[k % len(keys)]
        return Order.objects.get(pk=key), self.book.orders[key]

    @rule(quantities=LINES)
    def order(self, quantities: list[Decimal]) -> None:
        wanted = [Wanted(*one) for one in zip(self.spares, quantities, strict=False)]
        order = self.do(make_order, self.base, "Invented Supplies", wanted)
        lines = {one.spare.pk: one.quantity for one in wanted}
        self.book.orders[order.pk] = Ordered(lines)

    @precondition(lambda self: self.book.orders)
    @rule(k=ANY, ago=AGO, ahead=st.none() | st.integers(0, 5))
    def send(self, k: int, ago: int, ahead: int | None) -> None:
        order, ours = self.some_order(k)
        sent_on = self.today - timedelta(ago)
        expected_on = None if ahead is None else sent_on + timedelta(ahead)
        days = {"sent_on": sent_on, "expected_on": expected_on}
        self.do(send_order, order, **days, today=self.today, refused=ours.closed)
        if not ours.closed:
            ours.sent_on, ours.expected_on = sent_on, expected_on

    @precondition(lambda self: self.book.orders)
    @rule(k=ANY, ahead=st.none() | st.integers(-3, 5))
    def expect(self, k: int, ahead: int | None) -> None:
        order, ours = self.some_order(k)
        day = None if ahead is None else self.today + timedelta(ahead)
        wrong = ours.closed or ours.sent_on is None or (day is not None and day < ours.sent_on)
        self.do(expect_order, order, expected_on=day, refused=wrong)
        if not wrong:
            ours.expected_on = day

    @precondition(lambda self: self.book.orders)
    @rule(k=ANY, p=PLACE, quantity=QUANTITY, ago=AGO, all_lines=FLAG)
    def some_of_it_comes(self, k: int, p: int, quantity: Decimal, ago: int, all_lines: bool) -> None:
        order, ours = self.some_order(k)
        day, place = self.today - timedelta(ago), self.places[p]
        lines = list(order.lines.order_by("pk"))[: None if all_lines else 1]
        came = [Came(line, quantity, place) for line in lines]
        wrong = ours.closed or (ours.sent_on is not None and day < ours.sent_on)
        moves = self.do(receive_order, order, came, day=day, refused=wrong)
        for line, move in zip(lines, moves or (), strict=True) if moves else ():
            said = Said(line.spare_id, None, place.pk, quantity, "received", day)
            ours.came[line.spare_id].append(self.enter(move, said))

    @precondition(lambda self: self.book.orders)
    @rule(k=ANY, again=FLAG)
    def close_or_open(self, k: int, again: bool) -> None:
        order, ours = self.some_order(k)
        if again:
            self.do(open_again, order)
            ours.closed = False
        else:
            self.do(close_order, order, on=self.today, why="No longer made", refused=ours.closed)
            ours.closed = True

    @precondition(lambda self: self.book.entries)
    @rule(k=ANY, quantity=st.none() | QUANTITY, ago=st.none() | AGO)
    def put_right(self, k: int, quantity: Decimal | None, ago: int | None) -> None:
        """Another quantity or day; not of what a count knew of, nor of what stands no more."""
        entry = self.some_entry(k)
        row = StockMove.objects.get(pk=entry.rows[k % len(entry.rows)])
        said = {} if quantity is None else {"quantity": quantity}
        said |= {} if ago is None else {"day": self.today - timedelta(ago)}
        wrong = entry.gone or row.pk != entry.rows[-1] or not said
        if quantity is not None:
            wrong |= entry.now.why == "counted" or self.book.counted_since(entry)
            wrong |= self.wrong_lot(row.lot, quantity) or self.found_since(
                entry.said[k % len(entry.rows)], quantity
            )
        move = self.do(correct_move, row, **said, refused=wrong)
        if move is not None:
            self.touched(entry)
            self.book.correct(entry, move.pk, **said)
            self.touched(entry)

    @precondition(lambda self: self.book.entries)
    @rule(k=ANY)
    def take_back(self, k: int) -> None:
        """Of the first row all goes; of a correction, what stood before it stands again."""
        entry = self.some_entry(k)
        n = k % len(entry.rows)
        row = StockMove.objects.get(pk=entry.rows[n])
        wrong = self.book.counted_since(entry) or self.found_since(entry.said[n], NONE)
        move = self.do(void_move, row, refused=wrong)
        if move is not None and entry.gone:
            assert move.pk == entry.rows[-1]
        elif move is not None:
            self.touched(entry)
            self.book.take_back(entry, n, move.pk)
            self.touched(entry)

    def found_since(self, said: Said, quantity: Decimal) -> bool:
        """Whether it would be looked for less than was found since."""
        if said.to_place != self.astray.pk or said.quantity <= quantity:
            return False
        left = self.book.of_lot(said.spare, self.astray.pk, said.lot)
        return left < said.quantity - quantity

    def some_entry(self, k: int) -> Entry:
        """Of the last few more often than of others: they have to do with each other."""
        entries = self.book.entries
        return entries[-1 - k % min(len(entries), 5)] if k % 3 else entries[k % len(entries)]

    def touched(self, entry: Entry) -> None:
        self.since = min(self.since, entry.now.day)

    @rule(p=PLACE)
    def what_is_wrong_is_refused(self, p: int) -> None:
        """And keeps nothing: the book is compared after it as after any other."""
        tomorrow, anothers = self.today + timedelta(1), keep_lot(self.spares[1], Marked(mark="B"))
        said = {"why": "used", "quantity": Decimal(1), "from_place": self.places[p], "day": self.today}
        wrong: list[dict[str, Any]] = [{"quantity": Decimal(0)}, {"quantity": Decimal(-1)}, {"day": tomorrow}]
        wrong += [{"from_place": None}, {"lot": anothers}]
        for one in wrong:
            self.do(move_stock, self.spares[0], **said | one, refused=True)
        for one in ({"counted": Decimal(-1)}, {"day": tomorrow}, {"lot": anothers}):
            count = {"counted": Decimal(1), "day": self.today} | one
            self.do(count_stock, self.spares[0], self.places[p], **count, refused=True)

    @rule()
    def a_day_passes(self) -> None:
        self.at += timedelta(days=1)
        self.today += timedelta(days=1)
