"""Lots, serial numbers and last days over the API: received, used, counted, and what lies of each when."""

from datetime import date
from decimal import Decimal

import pytest

from maintenance.spares.facts import lots_at
from maintenance.spares.models import Lot, StockMove
from tests.doors.api import wrongs

DAY = "2026-05-28"


@pytest.fixture
def store(cast) -> int:
    return cast.place["store"].pk


def flares(store: int, **more) -> dict:
    """Bottles, of which the cast has three without a mark."""
    came = {"why": "received", "to_place": store, "quantity": 4, "day": DAY, "mark": "0417"}
    return {"spare": "gas bottle"} | came | {"expires_on": "2026-06-30"} | more


@pytest.fixture
def lot(program, store) -> int:
    """Four of one lot in the store."""
    answer = program().post("stock-moves/", flares(store))
    assert answer.status_code == 201, answer.content
    return answer.json()["lot"]


def of_lots(cast, place: str) -> dict[int, Decimal]:
    where = cast.place[place]
    return lots_at([where.pk]).get((cast.spare["gas bottle"].pk, where.pk), {})


def test_what_comes_is_told_apart_by_what_is_written_on_it(program, cast, store, lot):
    [told] = program().rows("stock-moves/", lot=lot)
    assert (told["mark"], told["serial"], told["expires_on"]) == ("0417", "", "2026-06-30")
    again = program().post("stock-moves/", flares(store, quantity=1)).json()
    assert again["lot"] == lot, "the same marks are the same lot"
    other = program().post("stock-moves/", flares(store, mark="0418")).json()
    assert other["lot"] != lot
    assert of_lots(cast, "store") == {lot: 5, other["lot"]: 4}


def test_a_move_sent_twice_makes_one_lot(program, store):
    body = flares(store, mark="", expires_on=None, serial="007", quantity=1, client_id="a")
    first, again = program().post("stock-moves/", body), program().post("stock-moves/", body)
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert first.json()["serial"] == "007"
    assert Lot.objects.count() == 1


def test_the_lot_that_runs_out_first_is_used_where_nobody_says_which(program, cast, store, lot):
    later = program().post("stock-moves/", flares(store, expires_on="2027-06-30")).json()["lot"]
    gone = {"spare": "gas bottle", "from_place": store, "quantity": 1, "day": DAY}
    assert program().post("stock-moves/", gone | {"why": "used"}).json()["lot"] == lot
    assert program().post("stock-moves/", gone | {"why": "used", "lot": later}).json()["lot"] == later
    assert program().post("stock-moves/", gone | {"why": "used", "lot": None}).json()["lot"] is None
    assert program().post("stock-moves/", gone | {"why": "scrapped"}).json()["lot"] is None
    back = program().post("stock-moves/", gone | {"why": "sent back", "lot": lot, "words": "Leaks"}).json()
    assert (back["why"], back["lot"], back["words"]) == ("sent back", lot, "Leaks")
    assert of_lots(cast, "store") == {lot: 2, later: 3}


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"lot": "the lot"}, "mark"),
        ({"why": "used", "from_place": "store", "to_place": None}, "mark"),
        ({"why": "used", "from_place": "store", "to_place": None, "mark": ""}, "expires_on"),
        ({"mark": "x" * 81}, "mark"),
        ({"mark": "a\0b"}, "mark"),
        ({"serial": "007"}, "quantity"),
        ({"expires_on": "2027-02-30"}, "expires_on"),
        ({"expires_on": "0001-01-01"}, "expires_on"),
        ({"expires_on": 2027}, "expires_on"),
        ({"mark": "", "expires_on": None, "lot": 10**15}, "lot"),
        ({"mark": "", "expires_on": None, "lot": "x"}, "lot"),
        ({"mark": "", "expires_on": None, "lot": "the lot", "spare": "oil"}, "lot"),
        ({"words": "x" * 301}, "words"),
    ],
)
def test_a_lot_that_cannot_be_is_refused_by_field_and_none_is_left(program, cast, store, lot, changed, field):
    put = {"the lot": lot, "store": store}
    body = flares(store) | {
        name: put.get(value, value) if isinstance(value, str) else value for name, value in changed.items()
    }
    before = Lot.objects.count(), StockMove.objects.count()
    answer = program().post("stock-moves/", body)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert (Lot.objects.count(), StockMove.objects.count()) == before


def test_one_unit_with_a_number_does_not_come_twice(program, store):
    unit = flares(store, mark="", expires_on=None, serial="007", quantity=1)
    assert program().post("stock-moves/", unit).status_code == 201
    assert list(wrongs(program().post("stock-moves/", unit))) == ["serial"]
    assert StockMove.objects.filter(lot__serial="007").count() == 1


def test_a_lot_is_counted_apart_and_the_difference_explained(program, cast, store, lot):
    body = {"spare": "gas bottle", "place": store, "lot": lot, "counted": 3, "day": DAY, "words": "One fell"}
    answer = program().post("counts/", body)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["lot"], told["book"], told["counted"]) == (lot, 4, 3)
    move = StockMove.objects.get(pk=told["move"])
    assert (move.words, move.lot_id, move.quantity) == ("One fell", lot, 1)
    right = program().post("counts/", body).json()
    assert (right["lot"], right["move"]) == (lot, None)
    [line] = program().rows("stock/", spare="gas bottle", place=store)
    assert (line["on_hand"], [one["on_hand"] for one in line["lots"]]) == (6, [3])


def test_a_lot_nobody_booked_is_found_by_a_count(program, cast, store):
    body = {"spare": "gas bottle", "place": store, "counted": 2, "day": DAY, "mark": "A-9"}
    told = program().post("counts/", body | {"client_id": "c"}).json()
    assert (told["book"], told["counted"]) == (0, 2)
    assert of_lots(cast, "store") == {told["lot"]: 2}
    assert program().post("counts/", body | {"client_id": "c"}).status_code == 200
    assert Lot.objects.count() == 1


def test_a_count_of_one_unit_says_one_or_none(program, store):
    unit = flares(store, mark="", expires_on=None, serial="007", quantity=1)
    lot = program().post("stock-moves/", unit).json()["lot"]
    body = {"spare": "gas bottle", "place": store, "lot": lot, "counted": 2, "day": DAY}
    assert list(wrongs(program().post("counts/", body))) == ["counted"]
    assert program().post("counts/", body | {"counted": 0}).status_code == 201


def test_stock_is_told_lot_by_lot_and_what_has_run_out_is_said(program, store, lot):
    program().post("stock-moves/", flares(store, mark="OLD", expires_on="2026-05-27", quantity=2))
    [line] = program().rows("stock/", spare="gas bottle", place=store)
    assert line["on_hand"] == 9
    assert [(one["mark"], one["on_hand"], one["run_out"]) for one in line["lots"]] == [
        ("OLD", 2, True),
        ("0417", 4, False),
    ]
    assert line["lots"][1]["lot"] == lot
    assert line["lots"][1]["expires_on"] == "2026-06-30"


def test_stock_on_a_day_is_what_the_moves_up_to_it_make(program, store, lot):
    """What is dated after that day had not happened."""
    for day, on_hand, lots in (("2026-05-27", 3, 0), (DAY, 7, 1), ("2026-04-30", 0, 0)):
        [line] = program().rows("stock/", spare="gas bottle", place=store, on=day)
        assert (line["on_hand"], len(line["lots"])) == (on_hand, lots), day
    [late] = program().rows("stock/", spare="gas bottle", place=store, on="2026-07-01")
    assert late["lots"][0]["run_out"] is True
    assert list(wrongs(program().get("stock/", on="tomorrow"))) == ["on"]


def test_words_of_a_move_are_put_right(program, store, lot):
    [row] = program().rows("stock-moves/", lot=lot)
    right = program().post(f"stock-moves/{row['id']}/corrections/", {"words": "From the fair"}).json()
    assert (right["words"], right["quantity"], right["lot"]) == ("From the fair", 4, lot)


def test_lots_say_where_they_lie_at_ones_own_bases(program, cast, store, lot):
    [told] = program("office").rows("lots/")
    assert told == {
        "id": lot,
        "spare": "gas bottle",
        "mark": "0417",
        "serial": "",
        "expires_on": "2026-06-30",
        "lies": [{"place": store, "on_hand": 4}],
    }
    assert program().get(f"lots/{lot}/").json() == told
    for query, found in (
        ({"spare": "gas bottle"}, 1),
        ({"spare": "oil"}, 0),
        ({"mark": "0417"}, 1),
        ({"serial": "0417"}, 0),
        ({"to_day": "2026-06-30"}, 1),
        ({"from_day": "2026-07-01"}, 0),
    ):
        assert len(program().rows("lots/", **query)) == found, query
    assert program("stranger").rows("lots/") == []
    assert program("stranger").get(f"lots/{lot}/").status_code == 404
    far = flares(cast.place["far store"].pk, mark="", expires_on=None, lot=lot)
    assert list(wrongs(program("stranger").post("stock-moves/", far))) == ["lot"]


def test_a_lot_is_neither_made_nor_changed_by_itself(program, lot):
    assert program("manager").post("lots/", {"spare": "oil", "mark": "x"}).status_code == 405
    assert program("manager").patch(f"lots/{lot}/", {"mark": "x"}).status_code == 405
    assert Lot.objects.get().expires_on == date(2026, 6, 30)
