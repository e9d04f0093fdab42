"""Kits over the API: their seals, what they lack and get; what is looked for; worn-out units that go back."""

from datetime import timedelta
from decimal import Decimal

import pytest

from fleet.boats.models import Place
from maintenance.spares.actions import set_allowance
from maintenance.spares.facts import hands
from maintenance.spares.models import CoreBack, KitSeal, Spare, StockMove
from maintenance.spares.sealing import seals_of
from tests import factories as make
from tests.cast import NOW, TODAY
from tests.doors.api import wrongs

DAY = "2026-05-28"


@pytest.fixture
def store(cast) -> int:
    return cast.place["store"].pk


def lies(spare: str, place: int) -> Decimal:
    return hands().get((Spare.objects.get(code=spare).pk, place), Decimal(0))


# Seals


def test_the_last_seal_put_on_closes_the_kit_until_it_is_taken_back(program, cast):
    boat = cast.boat["sandpiper"].pk
    first = program().post("seals/", {"boat": "sandpiper", "number": "000417", "day": "2026-05-23"})
    assert first.status_code == 201, first.content
    told = first.json()
    assert (told["boat"], told["number"], told["who"]) == ("sandpiper", "000417", "Engineer")
    assert told["place"] == cast.place["sandpiper locker"].pk
    second = program().post("seals/", {"boat": "sandpiper", "number": "000418", "who": "Nia"}).json()
    assert (second["day"], second["who"], seals_of([boat])[boat].number) == (DAY, "Nia", "000418")
    assert [row["id"] for row in program().rows("seals/", closes="true")] == [second["id"]]
    assert [row["id"] for row in program().rows("seals/", closes="false")] == [told["id"]]
    back = program().post(f"seals/{second['id']}/corrections/", {"void": True, "client_id": "v"})
    assert (back.status_code, back.json()["void"]) == (201, True)
    assert seals_of([boat])[boat].number == "000417"
    again = program().post(f"seals/{second['id']}/corrections/", {"void": True, "client_id": "v"})
    assert again.json() == back.json()
    program().post("seals/", {"boat": "sandpiper", "number": ""})
    assert boat not in seals_of([boat]), "it stays open"
    for query, found in (({"boat": "sandpiper"}, 2), ({"number": "000417"}, 1), ({"base": "harbour"}, 2)):
        assert len(program("office").rows("seals/", **query)) == found, query


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"boat": "far-cry"}, "boat"),
        ({"boat": "blank-page"}, "boat"),
        ({"number": "000001"}, "number"),
        ({"number": "x" * 41}, "number"),
        ({"number": "1\0"}, "number"),
        ({"day": "2026-05-29"}, "day"),
        ({"day": "0001-01-01"}, "day"),
        ({"who": "x" * 121}, "who"),
        ({"seal": "7"}, "seal"),
    ],
)
def test_a_seal_that_cannot_be_is_refused_by_field(program, cast, changed, field):
    """Twice Shy's kit has seal 000001; Blank Page has nowhere for a kit to lie."""
    program().post("seals/", {"boat": "twice-shy", "number": "000001"})
    Place.objects.filter(boat__code="blank-page").delete()
    answer = program().post("seals/", {"boat": "sandpiper", "number": "000417"} | changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert KitSeal.objects.count() == 1


def test_a_seal_sent_twice_is_one_and_other_bases_are_not_seen(program):
    body = {"boat": "sandpiper", "number": "000417", "client_id": "a"}
    first, again = program().post("seals/", body), program().post("seals/", body)
    assert (first.status_code, again.status_code, first.json()) == (201, 200, again.json())
    row = first.json()["id"]
    assert program("stranger").get(f"seals/{row}/").status_code == 404
    assert program("stranger").post(f"seals/{row}/corrections/", {"void": True}).status_code == 404
    assert program("office").post("seals/", body | {"client_id": "b"}).status_code == 403
    assert program("stranger").rows("seals/") == []
    assert list(wrongs(program().post(f"seals/{row}/corrections/", {"void": False}))) == ["void"]


# Kits


@pytest.fixture
def lacking(cast):
    """Sandpiper lacks two kits, Twice Shy one; the store has one, a shelf in it two."""
    kit = cast.spare["impeller kit"]
    cast.place["shelf"] = make.PlaceFactory(
        base=cast.base, parent=cast.place["store"], code="A1", name="A1", sort="shelf"
    )
    make.ReceivedFactory(spare=kit, to_place=cast.place["shelf"], quantity=Decimal(2))
    for name, number in (("sandpiper locker", 3), ("twice shy locker", 1)):
        set_allowance(kit, cast.place[name], quantity=Decimal(number), from_on=TODAY)


def test_what_kits_lack_is_told_boat_by_boat_with_the_shelf_to_take_it_from(program, cast, lacking):
    told = program("office").rows("to-fill/")
    assert [(line["boat"], line["from_place_name"], line["lacks"], line["can"]) for line in told] == [
        ("sandpiper", str(cast.place["shelf"]), 2, 2),
        ("twice-shy", "Store", 1, 1),
    ]
    assert told[0]["there"] == 2
    assert program().rows("to-fill/", page_size=1) == told
    assert program().rows("to-fill/", boat="twice-shy") == told[1:]
    assert program().rows("to-fill/", spare="oil") == []
    assert program("stranger").rows("to-fill/") == []


def test_kits_are_filled_in_one_go_and_once(program, cast, lacking):
    lines = [
        {
            "spare": line["spare"],
            "from_place": line["from_place"],
            "place": line["place"],
            "quantity": line["can"],
        }
        for line in program().rows("to-fill/")
    ]
    body = {"lines": lines, "client_id": "a"}
    first, again = program().post("to-fill/", body), program().post("to-fill/", body)
    assert (first.status_code, again.status_code) == (201, 200), first.content
    assert first.json() == again.json()
    assert [(row["why"], row["quantity"], row["to_place"]) for row in first.json()["moves"]] == [
        ("moved", 2, cast.place["sandpiper locker"].pk),
        ("moved", 1, cast.place["twice shy locker"].pk),
    ]
    assert lies("impeller kit", cast.place["sandpiper locker"].pk) == 3
    assert lies("impeller kit", cast.place["store"].pk) == 0
    assert program().rows("to-fill/") == []


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"lines": []}, "lines"),
        ({"lines": None}, "lines"),
        ({"quantity": 0}, "lines[0].quantity"),
        ({"quantity": "all"}, "lines[0].quantity"),
        ({"spare": "gold"}, "lines[0].spare"),
        ({"from_place": "sandpiper locker"}, "lines[0].from_place"),
        ({"from_place": "far store"}, "lines[0].from_place"),
        ({"place": "store"}, "lines[0].place"),
        ({"place": "far cry locker"}, "lines[0].place"),
        ({"day": "2026-05-29"}, "day"),
        ({"boat": "sandpiper"}, "boat"),
    ],
)
def test_what_cannot_be_put_aboard_is_refused_by_field_and_nothing_moves(
    program, cast, lacking, changed, field
):
    body = {"lines": [line(cast, changed)]} | {
        n: v for n, v in changed.items() if n in ("lines", "day", "boat")
    }
    before = StockMove.objects.count()
    answer = program().post("to-fill/", body)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert StockMove.objects.count() == before


def line(cast, changed: dict) -> dict:
    said = {"spare": "impeller kit", "from_place": "store", "place": "sandpiper locker", "quantity": 1}
    said |= {name: value for name, value in changed.items() if name in said}
    return said | {name: cast.place[said[name]].pk for name in ("from_place", "place")}


def test_the_office_fills_no_kit_and_a_client_id_of_another_move_is_none(program, cast, lacking):
    lines = [line(cast, {})]
    assert program("office").post("to-fill/", {"lines": lines}).status_code == 403
    moved = {"spare": "oil", "to_place": cast.place["store"].pk, "quantity": 1, "why": "received", "day": DAY}
    program().post("stock-moves/", moved | {"client_id": "a"})
    assert program().post("to-fill/", {"lines": lines, "client_id": "a"}).status_code == 409


# Not where it should be


def test_what_is_missed_is_looked_for_and_found_elsewhere(program, cast, store):
    body = {
        "step": "missed",
        "spare": "gas bottle",
        "place": store,
        "quantity": 2,
        "words": "Not in the cage",
    }
    missed = program().post("astray/", body | {"client_id": "a"})
    assert missed.status_code == 201, missed.content
    assert program().post("astray/", body | {"client_id": "a"}).status_code == 200
    assert (missed.json()["why"], missed.json()["from_place"], lies("gas bottle", store)) == (
        "moved",
        store,
        1,
    )
    [told] = program("office").rows("astray/")
    assert told == {
        "base": "harbour",
        "spare": "gas bottle",
        "name": "gas bottle",
        "unit": "each",
        "quantity": 2,
        "lot": None,
        "place": store,
        "place_name": "Store",
        "day": DAY,
        "words": "Not in the cage",
        "move": missed.json()["id"],
    }
    locker = cast.place["twice shy locker"].pk
    found = {"step": "found", "spare": "gas bottle", "place": locker, "quantity": 1}
    assert program().post("astray/", found).json()["to_place"] == locker
    assert [line["quantity"] for line in program().rows("astray/", spare="gas bottle")] == [1]
    gone = {"step": "given up", "spare": "gas bottle", "base": "harbour", "quantity": 1, "words": "At sea"}
    assert program().post("astray/", gone).json()["why"] == "scrapped"
    assert program().rows("astray/") == []
    assert (lies("gas bottle", store), lies("gas bottle", locker)) == (1, 1)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"step": "lost"}, "step"),
        ({"spare": "gold"}, "spare"),
        ({"place": "far store"}, "place"),
        ({"place": None}, "place"),
        ({"place": "nowhere"}, "place"),
        ({"base": "harbour"}, "base"),
        ({"quantity": 4}, "quantity"),
        ({"quantity": 0}, "quantity"),
        ({"quantity": None}, "quantity"),
        ({"lot": 10**9}, "lot"),
        ({"day": "2026-05-29"}, "day"),
        ({"words": "x" * 301}, "words"),
        ({"step": "found"}, "quantity"),
        ({"step": "given up", "place": "nowhere", "base": "harbour"}, "words"),
        ({"step": "given up", "base": "harbour", "words": "x"}, "place"),
        ({"step": "given up", "place": "nowhere", "words": "x"}, "base"),
        ({"step": "given up", "place": "nowhere", "base": "elsewhere", "words": "x"}, "base"),
    ],
)
def test_a_loss_that_cannot_be_is_refused_by_field_and_nothing_moves(program, cast, store, changed, field):
    body = {"step": "missed", "spare": "gas bottle", "place": store, "quantity": 2} | changed
    if body["place"] == "nowhere":
        del body["place"]
    elif body["place"] == "far store":
        body["place"] = cast.place["far store"].pk
    before = StockMove.objects.count()
    answer = program().post("astray/", body)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert StockMove.objects.count() == before


def test_what_is_looked_for_is_its_own_bases_business(program, cast, store):
    body = {"step": "missed", "spare": "gas bottle", "place": store, "quantity": 2, "client_id": "a"}
    assert program("office").post("astray/", body).status_code == 403
    program().post("astray/", body)
    assert program("stranger").rows("astray/") == []
    there = {"step": "found", "spare": "gas bottle", "place": cast.place["far store"].pk, "quantity": 1}
    assert list(wrongs(program("stranger").post("astray/", there))) == ["quantity"]
    assert program("stranger").post("astray/", there | {"client_id": "a"}).status_code == 409
    assert list(wrongs(program().get("astray/", base="elsewhere"))) == ["base"]
    astray = Place.objects.get(sort="astray", base=cast.base).pk
    from_there = {"step": "missed", "spare": "gas bottle", "place": astray, "quantity": 1}
    assert list(wrongs(program().post("astray/", from_there))) == ["place"]
    to_there = {"step": "found", "spare": "gas bottle", "place": astray, "quantity": 1}
    assert list(wrongs(program().post("astray/", to_there))) == ["place"]


# Worn-out units


@pytest.fixture
def pump(cast) -> Spare:
    """An exchange part, two of which were used: on Saturday and on Tuesday."""
    spare = make.SpareFactory(code="turned pump", name="Turned pump", exchange=True, supplier="Quay")
    store = cast.place["store"]
    make.ReceivedFactory(spare=spare, to_place=store, quantity=Decimal(5))
    for days in (5, 2):
        make.ReceivedFactory(spare=spare, from_place=store, why="used", day=TODAY - timedelta(days))
    return spare


CORE = {"base": "harbour", "spare": "turned pump", "quantity": 1, "words": "With the van"}


def test_worn_out_units_are_owed_since_the_oldest_until_they_went_back(program, pump):
    due = {
        "base": "harbour",
        "spare": "turned pump",
        "name": "Turned pump",
        "part_number": "",
        "supplier": "Quay",
        "quantity": 2,
        "since": "2026-05-23",
    }
    assert program("office").rows("cores-due/") == [due]
    answer = program().post("cores-back/", CORE | {"client_id": "a"})
    assert answer.status_code == 201, answer.content
    assert {name: answer.json()[name] for name in CORE} == CORE
    assert program().post("cores-back/", CORE | {"client_id": "a"}).status_code == 200
    assert program().rows("cores-due/") == [due | {"quantity": 1, "since": "2026-05-26"}]
    row = answer.json()["id"]
    assert program("office").get(f"cores-back/{row}/").json() == answer.json()
    assert len(program().rows("cores-back/", spare="turned pump", base="harbour", day=DAY)) == 1
    assert program().rows("cores-due/", supplier="Another") == program().rows("cores-due/", spare="oil") == []
    back = program().post(f"cores-back/{row}/corrections/", {"void": True})
    assert (back.status_code, back.json()["void"]) == (201, True)
    assert program().rows("cores-due/") == [due]
    assert program().post(f"cores-back/{row}/corrections/", {"void": True}).status_code == 409


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"base": "elsewhere"}, "base"),
        ({"spare": "gold"}, "spare"),
        ({"spare": "oil"}, "quantity"),
        ({"quantity": 3}, "quantity"),
        ({"quantity": 0}, "quantity"),
        ({"day": "2026-05-29"}, "day"),
        ({"words": "x" * 201}, "words"),
        ({"place": 1}, "place"),
    ],
)
def test_a_unit_that_cannot_have_gone_back_is_refused_by_field(program, pump, changed, field):
    answer = program().post("cores-back/", CORE | changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert not CoreBack.objects.exists()


def test_the_office_and_other_bases_send_nothing_back(program, pump):
    row = program().post("cores-back/", CORE).json()["id"]
    assert program("office").post("cores-back/", CORE).status_code == 403
    assert program("office").post(f"cores-back/{row}/corrections/", {"void": True}).status_code == 403
    assert program("stranger").get(f"cores-back/{row}/").status_code == 404
    assert program("stranger").rows("cores-back/") == program("stranger").rows("cores-due/") == []
    assert CoreBack.objects.get().recorded_at == NOW
