"""What parts fit and what may stand in, over the API; and what to take to a boat for the jobs on her list."""

import pytest

from fleet.boats.models import Component
from maintenance.spares.models import Instead, Spare, SpareFit
from tests.doors.api import wrongs

IMPELLER = {"spare": "impeller kit", "kind": "impeller", "maker": "Morgado Marine", "model": "M-30"}
SERIALS = {"serial_from": "E-00400", "serial_to": "E-00499"}


@pytest.fixture
def plate(cast):
    """Sandpiper's impeller with its plate written down."""
    rows = Component.objects.filter(code="sandpiper-impeller")
    rows.update(maker="MORGADO  marine", model="m 30", serial="E-00412")
    return rows.get()


def test_what_a_part_fits_is_said_changed_and_taken_back(program):
    manager = program("manager")
    said = IMPELLER | SERIALS | {"source": "The maker's list of 2024"}
    answer = manager.post("spare-fits/", said)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert {name: told[name] for name in said} == said
    row = f"spare-fits/{told['id']}/"
    assert program("office").get(row).json() == told
    changed = manager.change(row, {"kind": None, "serial_to": ""}).json()
    assert (changed["kind"], changed["serial_to"], changed["model"]) == (None, "", "M-30")
    assert manager.patch(row, {"model": "x"}).status_code == 428
    for query, found in (
        ({"spare": "impeller kit"}, 1),
        ({"spare": "oil"}, 0),
        ({"maker": "Morgado Marine"}, 1),
        ({"model": "M-31"}, 0),
        ({"kind": "impeller"}, 0),
    ):
        assert len(manager.rows("spare-fits/", **query)) == found, query
    assert manager.delete(row).status_code == 204
    assert manager.get(row).status_code == 404


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"spare": "gold"}, "spare"),
        ({"spare": None}, "spare"),
        ({"kind": "sail"}, "kind"),
        ({"kind": None, "maker": "", "model": ""}, "kind"),
        ({"serial_from": "E-00499", "serial_to": "E-00400"}, "serial_to"),
        ({"serial_from": "E-00499", "serial_to": "F-1"}, "serial_to"),
        ({"maker": "x" * 81}, "maker"),
        ({"model": 30}, "model"),
        ({"source": "x" * 201}, "source"),
        ({"serial": "7"}, "serial"),
    ],
)
def test_a_fit_that_cannot_be_is_refused_by_field(program, changed, field):
    said = IMPELLER | changed
    if changed == {"model": 30}:
        said |= {"model": [30]}
    answer = program("manager").post("spare-fits/", said)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert not SpareFit.objects.exists()


def test_a_fit_is_said_once(program):
    program("manager").post("spare-fits/", IMPELLER)
    again = program("manager").post("spare-fits/", IMPELLER | {"source": "Another list"})
    assert (again.status_code, list(wrongs(again))) == (422, ["model"])


def test_a_part_that_may_stand_in_is_said_with_what_to_mind(program):
    manager = program("manager")
    said = {"spare": "impeller kit", "other": "gas bottle", "words": "Grind the key"}
    answer = manager.post("stand-ins/", said)
    assert answer.status_code == 201, answer.content
    row = f"stand-ins/{answer.json()['id']}/"
    assert {name: answer.json()[name] for name in said} == said
    assert manager.change(row, {"words": "Grind the key, says the maker"}).status_code == 200
    assert Instead.objects.get().words == "Grind the key, says the maker"
    assert len(program("office").rows("stand-ins/", spare="impeller kit")) == 1
    assert program().rows("stand-ins/", other="impeller kit") == []
    for change, field in (
        ({"other": "impeller kit"}, "other"),
        ({"other": "gold"}, "other"),
        ({"spare": 7}, "spare"),
        ({"words": "x" * 201}, "words"),
        ({"why": "x"}, "why"),
    ):
        answer = manager.post("stand-ins/", said | change)
        assert answer.status_code in (400, 422)
        assert list(wrongs(answer)) == [field]
    assert program("engineer").post("stand-ins/", said).status_code == 403
    assert program("engineer").delete(row).status_code == 403
    assert manager.delete(row).status_code == 204
    assert not Instead.objects.exists()


def test_the_parts_for_a_thing_are_those_that_fit_its_plate(program, plate):
    """As its maker and model are written, capitals and blanks apart; serial numbers by their numbers."""
    manager = program("manager")
    for spare, more in (
        ("impeller kit", IMPELLER | SERIALS),
        ("gas bottle", IMPELLER | {"model": "M-31"}),
        ("oil", {"kind": "impeller", "maker": "Morgado Marine", "serial_from": "F-1"}),
    ):
        assert manager.post("spare-fits/", more | {"spare": spare}).status_code == 201
    Spare.objects.filter(code="gas bottle").update(superseded_by=Spare.objects.get(code="impeller kit"))
    told = program("office").rows("parts-for/", component=plate.code)
    assert [(line["spare"], line["fit"]) for line in told] == [("impeller kit", "fits"), ("oil", "may fit")]
    assert told[0]["instead"] == [{"spare": "gas bottle", "name": "gas bottle", "why": "its older number"}]
    assert program().rows("parts-for/", component=plate.code, page_size=1) == told
    assert program().rows("parts-for/", component=plate.code, fields="spare")[0] == {"spare": "impeller kit"}
    assert program().rows("parts-for/", component="sandpiper-rigging") == []


@pytest.mark.parametrize(
    ("query", "field"),
    [
        ({}, "component"),
        ({"component": ""}, "component"),
        ({"component": "far-cry-engine-oil"}, "component"),
        ({"component": "nothing"}, "component"),
        ({"component": "a\0b"}, "component"),
        ({"component": "x" * 65}, "component"),
        ({"component": "sandpiper-impeller", "boat": "sandpiper"}, "boat"),
        ({"component": "sandpiper-impeller", "cursor": "x"}, "cursor"),
    ],
)
def test_a_thing_that_cannot_be_asked_about_is_said_by_name(program, query, field):
    answer = program().get("parts-for/", **query)
    assert answer.status_code == 400
    assert list(wrongs(answer)) == [field]


def test_what_to_take_to_a_boat_says_how_many_where_from_and_whether_it_fits(program, cast):
    """Twice Shy's port engine is due its oil: 4.5 l, of 20 in the store."""
    Component.objects.filter(code="twice-shy-port-engine-oil").update(maker="Morgado", serial="0042")
    program("manager").post("spare-fits/", {"spare": "oil", "kind": "engine-oil"})
    told = program("office").rows("to-take/", boat="twice-shy")
    oil = next(line for line in told if line["component"] == "twice-shy-port-engine-oil")
    store = cast.place["store"]
    assert {name: oil[name] for name in oil if name not in ("due_on", "task", "name")} == {
        "base": "harbour",
        "boat": "twice-shy",
        "component": "twice-shy-port-engine-oil",
        "interval": "change",
        "maker": "Morgado",
        "model": "",
        "serial": "0042",
        "spare": "oil",
        "part_number": "",
        "quantity": 4.5,
        "unit": "l",
        "fit": "fits",
        "there": True,
        "place": store.pk,
        "lies": [{"place": store.pk, "place_name": "Store", "on_hand": 20}],
        "instead": [],
    }
    assert {line["boat"] for line in told} == {"twice-shy"}
    assert program().rows("to-take/", boat="twice-shy", page_size=1) == told
    assert program().rows("to-take/", boat="twice-shy", spare="impeller kit") == []


def test_what_is_not_there_says_what_may_stand_in_and_never_what_is_looked_for(program, cast):
    store = cast.place["store"].pk
    gone = {"spare": "oil", "from_place": store, "quantity": 18, "why": "used", "day": "2026-05-28"}
    assert program().post("stock-moves/", gone).status_code == 201
    astray = {"step": "missed", "spare": "oil", "place": store, "quantity": 2}
    assert program().post("astray/", astray).status_code == 201
    said = {"spare": "oil", "other": "gas bottle", "words": "As the maker says"}
    program("manager").post("stand-ins/", said)
    oil = program().rows("to-take/", boat="twice-shy", spare="oil")[0]
    assert (oil["there"], oil["place"], oil["lies"], oil["fit"]) == (False, None, [], None)
    assert [(one["spare"], one["why"], one["lies"][0]["on_hand"]) for one in oil["instead"]] == [
        ("gas bottle", "instead: As the maker says", 3)
    ]


def test_nothing_is_taken_to_another_bases_boats(program):
    assert {line["boat"] for line in program("stranger").rows("to-take/")} == {"far-cry"}
    assert {line["base"] for line in program().rows("to-take/")} == {"harbour"}
    for query in ({"boat": "far-cry"}, {"base": "elsewhere"}, {"job": "1"}):
        assert list(wrongs(program().get("to-take/", **query))) == list(query)
    assert program().post("to-take/", {}).status_code == 405
