"""Parts that are not where they should be, and worn-out units that are to go back."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from fleet.boats.facts import places_of
from fleet.boats.models import Place
from fleet.ledger import correction
from maintenance.spares.actions import use_spare
from maintenance.spares.astray import astray_of, find, give_up, looked_for, miss
from maintenance.spares.cores import CoreRefused, cores_due, send_core_back, take_back_core
from maintenance.spares.facts import hands
from maintenance.spares.history import firsts_of, moves_of, taken_twice
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import CoreBack, Spare, StockMove
from maintenance.spares.moving import FoundSince, MoveRefused, correct_move, move_stock, void_move
from tests.cast import NOW, TODAY

D = Decimal
WEEK_AGO = TODAY - timedelta(7)


@pytest.fixture
def gas(cast):
    return cast.spare["gas bottle"]


@pytest.fixture
def store(cast):
    return cast.place["store"]


@pytest.fixture
def lost(gas, store, cast):
    """So many gas bottles missed."""

    def lost(quantity: str, day: date = TODAY, **more) -> StockMove:
        said = {"quantity": D(quantity), "day": day, "at": NOW, "by": cast.person["engineer"]} | more
        return miss(gas, store, **said)

    return lost


def told(cast) -> list[tuple[Decimal, date]]:
    return [(one.quantity, one.said.day) for one in looked_for(cast.base)]


def test_what_is_missed_is_looked_for_since_when_from_where_and_by_whom(cast, lost, store):
    lost("1", words="Not in the cage")
    [one] = looked_for(cast.base)
    assert (one.quantity, one.said.day, one.said.from_place, one.said.recorded_by, one.said.words) == (
        1,
        TODAY,
        store,
        cast.person["engineer"],
        "Not in the cage",
    )
    assert hands()[cast.spare["gas bottle"].pk, store.pk] == 2


def test_the_oldest_is_found_first_and_what_is_found_lies_where_it_was_found(cast, lost, gas):
    lost("2", WEEK_AGO)
    lost("1")
    locker = cast.place["sandpiper locker"]
    find(gas, locker, base=cast.base, quantity=D(1), day=TODAY, at=NOW)
    assert told(cast) == [(1, WEEK_AGO), (1, TODAY)]
    find(gas, locker, base=cast.base, quantity=D(2), day=TODAY, at=NOW)
    assert told(cast) == []
    assert hands()[gas.pk, locker.pk] == 3


def test_no_more_is_missed_than_the_book_has_and_no_more_found_than_is_missed(cast, lost, gas, store):
    with pytest.raises(MoveRefused, match="quantity: wanted up to 3, as the book has there"):
        lost("4")
    lost("1")
    with pytest.raises(MoveRefused, match="quantity: wanted up to 1, as many as are looked for"):
        find(gas, store, base=cast.base, quantity=D(2), day=TODAY, at=NOW)
    with pytest.raises(MoveRefused, match="quantity: wanted up to 1"):
        give_up(gas, base=cast.base, quantity=D(2), day=TODAY, at=NOW, words="Stolen")


def test_what_is_given_up_is_gone_and_somebody_says_why(cast, lost, gas, store):
    lost("1")
    with pytest.raises(MoveRefused, match="words: wanted why nobody looks for it any more"):
        give_up(gas, base=cast.base, quantity=D(1), day=TODAY, at=NOW, words="  ")
    assert give_up(gas, base=cast.base, quantity=D(1), day=TODAY, at=NOW, words="Stolen").why == "scrapped"
    assert told(cast) == []
    assert sum(n for (spare, _), n in hands().items() if spare == gas.pk) == 2


def test_a_lot_is_missed_and_found_as_that_lot(cast, gas, store):
    lot = keep_lot(gas, Marked("A"))
    move_stock(gas, why="received", quantity=D(1), day=TODAY, at=NOW, to_place=store, lot=lot)
    with pytest.raises(MoveRefused, match="wanted up to 1, as the book has there of lot A"):
        miss(gas, store, quantity=D(2), day=TODAY, at=NOW, lot=lot)
    with pytest.raises(MoveRefused, match=r"wanted up to 3, as the book has there$"):
        miss(gas, store, quantity=D(4), day=TODAY, at=NOW)
    miss(gas, store, quantity=D(1), day=TODAY, at=NOW, lot=lot)
    with pytest.raises(MoveRefused, match="wanted up to 0, as many as are looked for"):
        find(gas, store, base=cast.base, quantity=D(1), day=TODAY, at=NOW)
    find(gas, store, base=cast.base, quantity=D(1), day=TODAY, at=NOW, lot=lot)
    assert told(cast) == []


def test_what_was_found_since_cannot_be_said_to_have_been_there_all_the_time(cast, lost, gas, store):
    said = lost("1")
    found = find(gas, store, base=cast.base, quantity=D(1), day=TODAY, at=NOW)
    with pytest.raises(FoundSince, match="found or given up since"):
        void_move(said, at=NOW)
    void_move(found, at=NOW)
    void_move(said, at=NOW)
    assert told(cast) == []
    assert hands()[gas.pk, store.pk] == 3


def test_nothing_is_taken_from_where_nothing_lies(cast, lost):
    lost("1")
    boat = cast.boat["sandpiper"]
    assert Place.Sort.ASTRAY not in {place.sort for place in places_of([boat.pk], on=TODAY)[boat.pk]}
    with pytest.raises(MoveRefused, match="place: wanted the place it should be at"):
        miss(cast.spare["gas bottle"], astray_of(cast.base), quantity=D(1), day=TODAY, at=NOW)


def test_another_base_looks_for_its_own(cast, lost):
    lost("1")
    theirs = cast.place["far store"].base
    assert looked_for(theirs) == []


def test_what_is_aboard_is_looked_for_at_her_base(cast):
    miss(cast.spare["impeller kit"], cast.place["sandpiper locker"], quantity=D(1), day=TODAY, at=NOW)
    assert told(cast) == [(1, TODAY)]


class TestTakenTwice:
    """Both kept, one flagged."""

    def use(self, cast, who: str, quantity: str = "1", **more) -> StockMove:
        where = {"from_place": cast.place["store"], "by": cast.person[who]} | more
        said = {"why": "used", "quantity": D(quantity), "day": TODAY, "at": NOW}
        return move_stock(cast.spare["impeller kit"], **said, **where)

    def where(self, cast) -> tuple[int, int]:
        return (cast.spare["impeller kit"].pk, cast.place["store"].pk)

    def test_who_took_the_last_one_and_who_took_it_again(self, cast):
        first, second = self.use(cast, "engineer"), self.use(cast, "manager")
        one = taken_twice([self.where(cast)])[self.where(cast)]
        assert (one.before, one.flagged) == (first, second)
        assert hands()[self.where(cast)] == -1

    def test_where_the_book_never_had_any_nobody_took_it_before(self, cast):
        used = self.use(cast, "engineer", from_place=cast.place["blank page locker"])
        where = (used.spare_id, cast.place["blank page locker"].pk)
        assert taken_twice([where])[where].before is None

    def test_a_move_put_right_keeps_its_turn(self, cast):
        first, second = self.use(cast, "engineer"), self.use(cast, "manager")
        again = correct_move(first, at=NOW, day=TODAY - timedelta(1))
        one = taken_twice([self.where(cast)])[self.where(cast)]
        assert (one.before, one.flagged, one.had) == (again, second, 0)

    def test_who_took_more_than_there_was_took_it_alone(self, cast):
        self.use(cast, "engineer", "0.25")
        used = self.use(cast, "manager")
        one = taken_twice([self.where(cast)])[self.where(cast)]
        assert (one.before, one.flagged, one.had) == (None, used, D("0.75"))

    def test_one_taken_back_took_nothing(self, cast):
        first = self.use(cast, "engineer")
        void_move(self.use(cast, "manager"), at=NOW)
        third = self.use(cast, "office")
        one = taken_twice([self.where(cast)])[self.where(cast)]
        assert (one.before, one.flagged) == (first, third)

    def test_a_book_that_can_be_right_flags_nobody(self, cast):
        self.use(cast, "engineer")
        assert taken_twice([self.where(cast)]) == {}


def test_the_moves_of_a_part_are_told_newest_first_and_further_back_from_any(cast, store, gas):
    used = [use_spare(gas, store, quantity=D(1), day=TODAY, at=NOW) for _ in range(3)]
    rows = moves_of(gas, [store.pk], limit=2)
    assert rows == [used[2], used[1]]
    assert moves_of(gas, [store.pk], limit=9, before=used[1].pk)[0] == used[0]
    assert moves_of(gas, [cast.place["far store"].pk], limit=9) == []


def test_a_move_put_right_twice_is_known_by_the_key_it_was_first_kept_under(gas, store):
    first = use_spare(gas, store, quantity=D(1), day=TODAY, at=NOW)
    last = correction(correction(first, at=NOW, quantity=D(2)), at=NOW, quantity=D(3))
    assert firsts_of([last]) == {last.pk: first.pk}
    assert firsts_of([first]) == {first.pk: first.pk}


class TestCores:
    """Exchange parts whose worn-out fellow goes back."""

    @pytest.fixture
    def used(self, cast, gas, store):
        Spare.objects.filter(pk=gas.pk).update(exchange=True)
        gas.exchange = True
        for day in (WEEK_AGO, TODAY):
            use_spare(gas, store, quantity=D(1), day=day, at=NOW)
        return [store.pk]

    def back(self, cast, gas, places, quantity: str, day: date = TODAY) -> CoreBack:
        said = {"quantity": D(quantity), "day": day, "at": NOW}
        return send_core_back(gas, base=cast.base, places=places, **said)

    def test_each_one_used_is_owed_the_oldest_first(self, cast, gas, used):
        [due] = cores_due(cast.base.pk, used)
        assert (due.spare, due.quantity, due.since) == (gas, 2, WEEK_AGO)
        self.back(cast, gas, used, "1")
        [due] = cores_due(cast.base.pk, used)
        assert (due.quantity, due.since) == (1, TODAY)

    @pytest.mark.parametrize("quantity", ["0", "-1", "2.001"])
    def test_no_more_goes_back_than_is_owed_and_no_less_than_some(self, cast, gas, used, quantity):
        with pytest.raises(CoreRefused, match="quantity: wanted above 0 and up to 2, as many as are owed"):
            self.back(cast, gas, used, quantity)

    def test_nothing_goes_back_on_a_day_to_come(self, cast, gas, used):
        with pytest.raises(CoreRefused, match="day: wanted a day up to today, Thu 28 May 2026"):
            self.back(cast, gas, used, "1", TODAY + timedelta(1))

    def test_what_did_not_go_back_after_all_is_owed_again_also_when_that_is_said_twice(self, cast, gas, used):
        row = self.back(cast, gas, used, "2")
        assert cores_due(cast.base.pk, used) == []
        take_back_core(row, at=NOW)
        take_back_core(row, at=NOW)
        assert cores_due(cast.base.pk, used)[0].quantity == 2

    def test_what_is_no_exchange_part_owes_nothing(self, cast, store):
        use_spare(cast.spare["oil"], store, quantity=D(1), day=TODAY, at=NOW)
        assert cores_due(cast.base.pk, [store.pk]) == []
