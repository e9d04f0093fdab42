"""Moves of stock, counts and what lies where over the API."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from maintenance.spares.facts import hands
from maintenance.spares.models import StockMove
from tests import factories as make
from tests.cast import NOW, back
from tests.doors.api import wrongs


@pytest.fixture
def store(cast) -> int:
    return cast.place["store"].pk


@pytest.fixture
def locker(cast) -> int:
    return cast.place["sandpiper locker"].pk


def move(**more):
    return {"spare": "oil", "quantity": 2, "day": "2026-05-28", **more}


def lies(cast, spare: str, place: str) -> Decimal:
    return hands().get((cast.spare[spare].pk, cast.place[place].pk), Decimal(0))


def test_what_comes_in_moves_on_and_goes_changes_what_lies_where(program, cast, store, locker):
    for body in (
        move(why="received", to_place=store, quantity=5),
        move(why="moved", from_place=store, to_place=locker, quantity=3),
        move(why="used", from_place=locker, quantity=0.5),
        move(why="scrapped", from_place=store, quantity=1),
    ):
        answer = program().post("stock-moves/", body)
        assert answer.status_code == 201, answer.content
        told = answer.json()
        assert {name: told[name] for name in body} == body
        assert StockMove.objects.get(pk=told["id"]).recorded_by == cast.person["engineer"]
    assert lies(cast, "oil", "store") == 21
    assert lies(cast, "oil", "sandpiper locker") == Decimal("2.5")


def test_more_than_the_book_has_can_be_used_and_is_then_to_be_counted(program, cast, store):
    assert program().post("stock-moves/", move(why="used", from_place=store, quantity=30)).status_code == 201
    [line] = program().rows("stock/", to_count="true")
    assert (line["spare"], line["on_hand"], line["to_count"]) == ("oil", -10, True)


def test_a_move_sent_twice_is_one(program, cast, store):
    body = move(why="received", to_place=store, client_id="a")
    first, again = (program().post("stock-moves/", body) for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert lies(cast, "oil", "store") == 22


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"why": "received"}, "to_place"),
        ({"why": "received", "from_place": "store", "to_place": "store"}, "from_place"),
        ({"why": "used", "to_place": "store"}, "from_place"),
        ({"why": "used", "from_place": "store", "to_place": "locker"}, "to_place"),
        ({"why": "scrapped"}, "from_place"),
        ({"why": "moved", "from_place": "store"}, "to_place"),
        ({"why": "moved", "from_place": "store", "to_place": "store"}, "to_place"),
        ({"why": "counted", "to_place": "store"}, "why"),
        ({"why": "received", "to_place": "far"}, "to_place"),
        ({"why": "received", "to_place": "aboard far"}, "to_place"),
        ({"why": "received", "to_place": 2**70}, "to_place"),
        ({"why": "received", "to_place": True}, "to_place"),
        ({"why": "received", "to_place": "store", "quantity": 0}, "quantity"),
        ({"why": "received", "to_place": "store", "quantity": -1}, "quantity"),
        ({"why": "received", "to_place": "store", "quantity": 10**12}, "quantity"),
        ({"why": "received", "to_place": "store", "quantity": 0.0001}, "quantity"),
        ({"why": "received", "to_place": "store", "day": "2026-05-29"}, "day"),
        ({"why": "received", "to_place": "store", "day": "0001-01-01"}, "day"),
        ({"why": "received", "to_place": "store", "spare": "gold"}, "spare"),
    ],
)
def test_a_move_that_cannot_be_is_refused_by_field(program, cast, store, locker, changed, field):
    before = StockMove.objects.count()
    far = {"far": cast.place["far store"].pk, "aboard far": cast.place["far cry locker"].pk}
    named = {"store": store, "locker": locker} | far
    for name in ("from_place", "to_place"):
        if changed.get(name) in named:
            changed = changed | {name: named[changed[name]]}
    answer = program().post("stock-moves/", move(**changed))
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert StockMove.objects.count() == before


def test_a_move_is_put_right_by_another_row(program, cast, store, today_is):
    row = program().post("stock-moves/", move(why="received", to_place=store, quantity=50)).json()
    today_is.move_to(NOW + timedelta(minutes=5))
    right = program().post(f"stock-moves/{row['id']}/corrections/", {"quantity": 5, "day": "2026-05-27"})
    assert right.status_code == 201
    told = right.json()
    assert (told["quantity"], told["day"], told["replaces"]) == (5, "2026-05-27", row["id"])
    assert lies(cast, "oil", "store") == 25
    [then] = program().rows("stock-moves/", known_at=NOW.isoformat().replace("+00:00", "Z"), day="2026-05-28")
    assert then["quantity"] == 50
    again = program().post(f"stock-moves/{row['id']}/corrections/", {"quantity": 6})
    assert again.status_code == 409
    assert str(told["id"]) in again.json()["detail"]
    taken = program().post(f"stock-moves/{told['id']}/corrections/", {"void": True}).json()
    assert taken["quantity"] == 50  # what it stood for stands again
    gone = program().post(f"stock-moves/{taken['id']}/corrections/", {"quantity": 0})
    assert list(wrongs(gone)) == ["quantity"]
    assert list(wrongs(program().post(f"stock-moves/{taken['id']}/corrections/", {}))) == ["quantity"]
    late = program().post(f"stock-moves/{taken['id']}/corrections/", {"day": "9999-12-31"})
    assert list(wrongs(late)) == ["day"]


def test_a_move_that_was_none_is_taken_back(program, cast, store):
    row = program().post("stock-moves/", move(why="received", to_place=store)).json()
    undone = program().post(f"stock-moves/{row['id']}/corrections/", {"void": True}).json()
    assert undone["void"] is True
    assert lies(cast, "oil", "store") == 20


def test_what_a_count_knew_of_is_not_undone(program, cast, store):
    row = program().post("stock-moves/", move(why="received", to_place=store)).json()
    count = {"spare": "oil", "place": store, "counted": 7, "day": "2026-05-28"}
    program().post("counts/", count)
    for body in ({"void": True}, {"quantity": 3}):
        answer = program().post(f"stock-moves/{row['id']}/corrections/", body)
        assert answer.status_code == 409
        assert "counted" in answer.json()["detail"]
    assert program().post(f"stock-moves/{row['id']}/corrections/", {"day": "2026-05-20"}).status_code == 201
    assert lies(cast, "oil", "store") == 7


def test_a_count_makes_the_book_say_what_lay_there(program, cast, store):
    body = {"spare": "oil", "place": store, "counted": 18.5, "day": "2026-05-28", "client_id": "c"}
    answer = program().post("counts/", body)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["spare"], told["place"], told["book"], told["counted"]) == ("oil", store, 20, 18.5)
    kept = StockMove.objects.get(pk=told["move"])
    assert (kept.why, kept.quantity, kept.from_place_id) == ("counted", Decimal("1.5"), store)
    assert lies(cast, "oil", "store") == Decimal("18.5")
    program().post("stock-moves/", move(why="used", from_place=store, quantity=1))
    again = program().post("counts/", body)
    assert (again.status_code, again.json()) == (200, told)
    assert lies(cast, "oil", "store") == Decimal("17.5")
    more = program().post("counts/", body | {"counted": 20, "client_id": "d"}).json()
    assert (more["book"], more["counted"]) == (17.5, 20)
    assert list(wrongs(program().post(f"stock-moves/{more['move']}/corrections/", {"quantity": 9}))) == [
        "quantity"
    ]
    assert program().post(f"stock-moves/{more['move']}/corrections/", {"void": True}).status_code == 201
    assert lies(cast, "oil", "store") == Decimal("17.5")


def test_a_count_that_agrees_with_the_book_keeps_nothing(program, cast, store):
    body = {"spare": "oil", "place": store, "counted": 20, "day": "2026-05-28", "client_id": "c"}
    answer = program().post("counts/", body)
    assert answer.status_code == 201
    assert answer.json() == {
        "spare": "oil",
        "place": store,
        "lot": None,
        "day": "2026-05-28",
        "book": 20,
        "counted": 20,
        "move": None,
    }
    assert not StockMove.objects.filter(why="counted").exists()


def test_a_client_id_of_another_move_is_no_counts(program, cast, store, locker):
    program().post("stock-moves/", move(why="received", to_place=store, client_id="a"))
    body = {"spare": "oil", "place": store, "counted": 1, "day": "2026-05-28", "client_id": "c"}
    program().post("counts/", body)
    for wrong in (body | {"client_id": "a"}, body | {"place": locker}, body | {"spare": "gas bottle"}):
        assert program().post("counts/", wrong).status_code == 409
    far = cast.place["far store"].pk
    theirs = {"spare": "oil", "quantity": 1, "day": "2026-05-28", "why": "received", "to_place": far}
    assert program("stranger").post("stock-moves/", theirs | {"client_id": "a"}).status_code == 409
    counted = {"spare": "oil", "place": far, "counted": 1, "day": "2026-05-28", "client_id": "c"}
    assert program("stranger").post("counts/", counted).status_code == 409


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"counted": -1}, "counted"),
        ({"counted": 10**20}, "counted"),
        ({"counted": None}, "counted"),
        ({"day": "2026-05-29"}, "day"),
        ({"day": "0001-01-01"}, "day"),
        ({"place": 0}, "place"),
        ({"spare": "\x00"}, "spare"),
        ({"client_id": "\ud800"}, "client_id"),
    ],
)
def test_a_count_that_cannot_be_is_refused_by_field(program, cast, store, changed, field):
    body = {"spare": "oil", "place": store, "counted": 1, "day": "2026-05-28"} | changed
    answer = program().post("counts/", body)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert lies(cast, "oil", "store") == 20
    assert list(wrongs(program().post("counts/", {**body, "place": cast.place["far store"].pk})))


def test_the_office_and_other_bases_move_nothing(program, cast, store):
    row = program().post("stock-moves/", move(why="received", to_place=store)).json()
    count = {"spare": "oil", "place": store, "counted": 1, "day": "2026-05-28"}
    for where, body in (
        ("stock-moves/", move(why="received", to_place=store)),
        (f"stock-moves/{row['id']}/corrections/", {"void": True}),
        ("counts/", count),
    ):
        assert program("office").post(where, body).status_code == 403
        assert program("stranger").post(where, body).status_code in (400, 404)
    assert program("office").get(f"stock-moves/{row['id']}/").json() == row
    assert program("stranger").get(f"stock-moves/{row['id']}/").status_code == 404
    assert program("stranger").rows("stock-moves/") == program("stranger").rows("stock/") == []
    assert lies(cast, "oil", "store") == 22


def test_who_counts_at_one_base_moves_nothing_at_another(program, cast, store):
    """An engineer here who is in the office there: each place asks at its own base."""
    there = cast.boat["far cry"].terms.get().base
    make.MembershipFactory(person=cast.person["engineer"], base=there, role="office")
    far = cast.place["far store"].pk
    for ends in ({"from_place": store, "to_place": far}, {"from_place": far, "to_place": store}):
        assert program().post("stock-moves/", move(why="moved", **ends)).status_code == 403
    between = make.ReceivedFactory(
        spare=cast.spare["oil"], from_place=cast.place["store"], to_place=cast.place["far store"], why="moved"
    )
    assert program().post(f"stock-moves/{between.pk}/corrections/", {"void": True}).status_code == 403
    assert (
        program("manager").post(f"stock-moves/{between.pk}/corrections/", {"void": True}).status_code == 403
    )
    assert program().post("stock-moves/", move(why="received", to_place=store)).status_code == 201


def test_what_lies_where_is_the_books_with_what_should(program, cast, store, locker):
    program().post("stock-moves/", move(spare="gas bottle", why="used", from_place=store, quantity=1))
    lines = {(line["spare"], line["place"]): line for line in program().rows("stock/")}
    assert lines["gas bottle", store] == {
        "base": "harbour",
        "boat": None,
        "place": store,
        "place_name": "Store",
        "spare": "gas bottle",
        "name": "gas bottle",
        "unit": "each",
        "on_hand": 2,
        "lots": [],
        "allowance": 3,
        "short": True,
        "to_count": False,
    }
    kit = lines["impeller kit", locker]
    assert (kit["base"], kit["boat"], kit["on_hand"], kit["allowance"], kit["short"]) == (
        None,
        "sandpiper",
        1,
        1,
        False,
    )
    assert lines["oil", store]["allowance"] is None
    assert len(lines) == 4


def test_what_should_lie_where_nothing_ever_lay_is_short(program, cast):
    make.AllowanceFactory(spare=cast.spare["oil"], place=cast.place["twice shy locker"], quantity=2)
    [line] = program().rows("stock/", boat="twice-shy")
    assert (line["on_hand"], line["allowance"], line["short"]) == (0, 2, True)


def test_stock_comes_in_pages_and_by_filters(program, cast, store, locker):
    program().post("stock-moves/", move(why="used", from_place=store, quantity=25))
    whole = program().rows("stock/")
    for size in (1, 3):
        assert program().rows("stock/", page_size=size) == whole
    for query, holds in (
        ({"base": "harbour"}, lambda line: True),
        ({"boat": "sandpiper"}, lambda line: line["boat"] == "sandpiper"),
        ({"place": store}, lambda line: line["place"] == store),
        ({"spare": "impeller kit"}, lambda line: line["spare"] == "impeller kit"),
        ({"short": "false"}, lambda line: not line["short"]),
        ({"to_count": "true"}, lambda line: line["to_count"]),
    ):
        found = program().rows("stock/", **query)
        assert found == [line for line in whole if holds(line)], query
        assert found
    for query in ({"boat": "far-cry"}, {"base": "elsewhere"}):
        assert program().get("stock/", **query).status_code == 400
    assert {tuple(line) for line in program().rows("stock/", fields="spare,on_hand")} == {
        ("spare", "on_hand")
    }


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({"short": "perhaps"}, "short"),
        ({"place": "9" * 30}, "place"),
        ({"place": "x"}, "place"),
        ({"spare": "x" * 65}, "spare"),
        ({"cursor": "WyI5OTk5OTk5OTk5OTk5OTk5OTk5OTk5OTkiLCIxIl0"}, "cursor"),
        ({"fields": "price"}, "fields"),
        ({"prices": "all"}, "prices"),
    ],
)
def test_a_slip_in_what_is_asked_of_stock_is_said(program, query, field):
    answer = program().get("stock/", **query)
    assert answer.status_code == 400
    assert field in wrongs(answer)


def test_stock_moves_are_found_by_place_boat_spare_why_and_day(program, cast, store, locker):
    program().post("stock-moves/", move(why="moved", from_place=store, to_place=locker))
    whole = program().rows("stock-moves/")
    for query, holds in (
        ({"place": locker}, lambda m: locker in (m["from_place"], m["to_place"])),
        ({"boat": "sandpiper"}, lambda m: locker in (m["from_place"], m["to_place"])),
        ({"base": "harbour"}, lambda m: True),
        ({"spare": "oil"}, lambda m: m["spare"] == "oil"),
        ({"why": "moved"}, lambda m: m["why"] == "moved"),
        ({"from_day": "2026-05-28"}, lambda m: m["day"] >= "2026-05-28"),
    ):
        found = program().rows("stock-moves/", **query)
        assert found == [m for m in whole if holds(m)], query
        assert found
    assert program().get("stock-moves/", place="x").status_code == 400


def test_stock_is_told_in_as_many_queries_for_one_line_as_for_many(program, cast, store):
    def asked() -> int:
        with CaptureQueriesContext(connection) as said:
            assert program().get("stock/").status_code == 200
            assert program().get("stock-moves/").status_code == 200
        return len(said)

    few = asked()
    for n in range(8):
        place = make.PlaceFactory(base=cast.base, parent=cast.place["store"], code=f"shelf-{n}", sort="shelf")
        make.ReceivedFactory(spare=make.SpareFactory(), to_place=place)
    back(cast, "sandpiper")
    assert asked() == few
