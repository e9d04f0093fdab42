"""Lots, serial numbers and last days: kept once, taken in turn, counted apart, told for any day."""

from datetime import date
from decimal import Decimal

import pytest

from maintenance.spares.actions import count_stock, use_spare
from maintenance.spares.counting import BookMoved, Line, count_place
from maintenance.spares.facts import hands, lots_at
from maintenance.spares.handling import Handled, handle
from maintenance.spares.lots import LotRefused, Marked, held_of, keep_lot, lot_for, lot_taken, run_out
from maintenance.spares.models import Lot, StockMove
from maintenance.spares.moving import CountedSince, MoveRefused, move_stock, void_move
from tests.cast import NOW, TODAY

D = Decimal
JUNE, DECEMBER = date(2026, 6, 30), date(2026, 12, 31)


@pytest.fixture
def gas(cast):
    return cast.spare["gas bottle"]


@pytest.fixture
def store(cast):
    return cast.place["store"]


@pytest.fixture
def come(gas, store):
    """So many of a lot, received."""

    def come(quantity: str, day: date = TODAY, **marked) -> Lot:
        done = Handled("received", D(quantity), day, to_place=store, marked=Marked(**marked))
        lot = handle(gas, done, at=NOW).lot
        assert lot is not None
        return lot

    return come


def test_a_lot_seen_before_is_the_same_one(gas):
    first = keep_lot(gas, Marked("A7", expires_on=JUNE))
    assert keep_lot(gas, Marked("A7", expires_on=JUNE)) == first
    assert keep_lot(gas, Marked("A7", expires_on=DECEMBER)) != first
    assert str(first) == "lot A7, good to Tue 30 Jun 2026"


def test_a_lot_of_which_nothing_is_written_is_none(gas):
    with pytest.raises(LotRefused, match="mark: wanted a mark, a serial number or the last day"):
        keep_lot(gas, Marked())
    assert not Marked()


def test_what_has_a_serial_number_is_one_unit_and_comes_once(gas, store, come):
    with pytest.raises(LotRefused, match="quantity: wanted 1, for 0041 is the number of one unit"):
        come("2", serial="0041")
    lot = come("1", serial="0041")
    with pytest.raises(LotRefused, match="serial: found 0041, which lies at Store"):
        come("1", serial="0041")
    move_stock(gas, why="sent back", quantity=D(1), day=TODAY, at=NOW, from_place=store, lot=lot)
    assert come("1", serial="0041") == lot


def test_another_parts_lot_is_refused(cast, come, store):
    lot = come("2", mark="A7")
    with pytest.raises(LotRefused, match="lot: wanted one of oil"):
        move_stock(cast.spare["oil"], why="used", quantity=D(1), day=TODAY, at=NOW, from_place=store, lot=lot)
    with pytest.raises(LotRefused, match="lot: wanted one of oil"):
        count_stock(cast.spare["oil"], store, counted=D(1), day=TODAY, at=NOW, lot=lot)


def test_what_is_used_is_of_the_lot_that_runs_out_first(gas, store, come):
    later, sooner = come("2", mark="B", expires_on=DECEMBER), come("2", mark="A", expires_on=JUNE)
    assert use_spare(gas, store, quantity=D(2), day=TODAY, at=NOW).lot == sooner
    assert use_spare(gas, store, quantity=D(1), day=TODAY, at=NOW).lot == later
    assert lot_for(gas, store, D(5), TODAY) is None


def test_lots_are_told_by_place_and_day_and_none_of_nothing(gas, store, cast, come):
    lot = come("2", day=date(2026, 5, 20), mark="A", expires_on=JUNE)
    move_stock(
        gas,
        why="moved",
        quantity=D(2),
        day=date(2026, 5, 25),
        at=NOW,
        from_place=store,
        to_place=cast.place["sandpiper locker"],
        lot=lot,
    )
    locker = cast.place["sandpiper locker"].pk
    assert lots_at() == {(gas.pk, locker): {lot.pk: 2}}
    assert lots_at([store.pk]) == {}
    assert lots_at(on=date(2026, 5, 24)) == {(gas.pk, store.pk): {lot.pk: 2}}
    assert lots_at(on=date(2026, 5, 19)) == {}
    assert run_out([lot.pk], JUNE) == set()
    assert run_out([lot.pk], date(2026, 7, 1)) == {lot.pk}


def test_on_hand_is_told_for_any_day(gas, store, come):
    come("2", day=date(2026, 5, 20), mark="A")
    where = (gas.pk, store.pk)
    assert [hands(on=date(2026, 5, day))[where] for day in (1, 19, 20)] == [3, 3, 5]
    assert where not in hands(on=date(2026, 4, 30))
    assert hands([store.pk], on=date(2026, 5, 19))[where] == 3


def test_where_several_lots_lie_somebody_says_which(gas, store, come):
    lot = come("2", mark="A")
    with pytest.raises(
        LotRefused, match="lot: wanted which one, for 1 lot lies at Store, and some without a mark"
    ):
        lot_taken(gas, store)
    assert lot_taken(gas, store, unmarked=True) is None
    assert lot_taken(gas, store, lot=lot) == lot
    move_stock(gas, why="scrapped", quantity=D(3), day=TODAY, at=NOW, from_place=store)
    assert lot_taken(gas, store) == lot
    come("1", mark="B")
    with pytest.raises(LotRefused, match=r"lot: wanted which one, for 2 lots lie at Store$"):
        lot_taken(gas, store)


def test_a_lot_that_does_not_lie_there_is_not_taken_from_there(gas, cast, come):
    lot = come("2", mark="A")
    done = Handled("used", D(1), TODAY, from_place=cast.place["sandpiper locker"], lot=lot)
    with pytest.raises(LotRefused, match="lot: wanted one that lies at Sandpiper locker"):
        handle(gas, done, at=NOW)
    assert not StockMove.objects.filter(why="used").exists()


def test_a_lot_that_cannot_be_kept_keeps_no_move_either(gas, store):
    done = Handled("received", D(2), TODAY, to_place=store, marked=Marked(serial="9"))
    with pytest.raises(LotRefused):
        handle(gas, done, at=NOW)
    assert not Lot.objects.exists()
    assert not StockMove.objects.filter(spare=gas, day=TODAY).exists()


@pytest.mark.parametrize("why", ["counted", "lost", ""])
def test_only_what_hands_do_is_taken_by_hand(gas, store, why):
    with pytest.raises(MoveRefused, match="why: wanted one of received, used, moved, scrapped, sent back"):
        handle(gas, Handled(why, D(1), TODAY, to_place=store), at=NOW)


class TestCounted:
    """A place counted line by line."""

    @pytest.fixture
    def count(self, store):
        def count(*lines: Line, client_id: str | None = None):
            return count_place(store, lines, day=TODAY, at=NOW, client_id=client_id)

        return count

    def test_each_lot_is_counted_apart_and_the_sum_is_the_places(self, gas, store, come, count):
        lot, other = come("4", mark="A"), come("2", mark="B")
        wrong = count(Line(gas, D(2), D(3)), Line(gas, D(5), D(4), lot), Line(gas, D(2), D(2), other))
        assert {(one.line.lot, one.by) for one in wrong} == {(None, -1), (lot, 1)}
        assert lots_at() == {(gas.pk, store.pk): {lot.pk: 5, other.pk: 2}}
        assert hands()[gas.pk, store.pk] == 9
        assert held_of(gas, store, None) == 2

    def test_counting_one_lot_leaves_the_others_as_they_are(self, gas, store, come, count):
        lot, other = come("4", mark="A"), come("2", mark="B")
        count(Line(gas, D(1), D(4), lot))
        assert lots_at()[gas.pk, store.pk] == {lot.pk: 1, other.pk: 2}
        assert held_of(gas, store, None) == 3

    def test_words_stay_with_the_difference(self, gas, count):
        count(Line(gas, D(2), D(3), words="One was rusty"))
        assert StockMove.objects.get(why="counted").words == "One was rusty"

    def test_a_book_that_was_right_is_no_difference(self, gas, count):
        assert count(Line(gas, D(3), D(3))) == []
        assert not StockMove.objects.filter(why="counted").exists()

    def test_sent_twice_it_is_one_count_and_says_the_same(self, gas, store, count):
        first = count(Line(gas, D(2), D(3)), client_id="form-1")
        assert count(Line(gas, D(2), D(3)), client_id="form-1") == first
        assert hands()[gas.pk, store.pk] == 2
        assert StockMove.objects.filter(why="counted").count() == 1

    def test_who_counts_after_another_is_told_what_the_book_says_now_and_nothing_is_kept(
        self, cast, gas, store, count
    ):
        count(Line(gas, D(2), D(3)), client_id="form-1")
        with pytest.raises(BookMoved) as moved:
            count(Line(cast.spare["oil"], D(18), D(20)), Line(gas, D(1), D(3)), client_id="form-2")
        assert moved.value.now == {(gas.pk, 0): 2}
        assert hands()[cast.spare["oil"].pk, store.pk] == 20

    def test_one_unit_with_a_number_is_there_or_not(self, gas, come, count):
        lot = come("1", serial="7")
        with pytest.raises(LotRefused, match="counted: wanted 0 or 1, for 7 is the number of one unit"):
            count(Line(gas, D(2), D(1), lot))
        assert count(Line(gas, D(0), D(1), lot))[0].by == -1

    def test_what_is_looked_for_is_not_written_off(self, cast, gas, store, count):
        [one] = count(Line(gas, D(1), D(3), looked_for=True, words="Not on its hook"))
        assert one.by == -2
        held = {place: n for (spare, place), n in hands().items() if spare == gas.pk}
        assert sum(held.values()) == 3
        assert held[store.pk] == 1
        assert not StockMove.objects.filter(why="counted").exists()

    def test_more_than_the_book_has_cannot_be_missed(self, gas, count):
        with pytest.raises(MoveRefused, match="quantity: wanted"):
            count(Line(gas, D(4), D(3), looked_for=True))


def test_a_move_that_a_count_knew_of_is_not_taken_back(gas, store):
    move = move_stock(gas, why="used", quantity=D(1), day=TODAY, at=NOW, from_place=store)
    count_stock(gas, store, counted=D(1), day=TODAY, at=NOW)
    with pytest.raises(CountedSince, match="counted there since"):
        void_move(move, at=NOW)
    assert hands()[gas.pk, store.pk] == 1
