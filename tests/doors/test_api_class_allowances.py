"""Spares as they come in packs and by newer numbers, and how many every boat of a class carries."""

from decimal import Decimal

import pytest

from fleet.boats.models import Boat
from maintenance.spares.facts import allowances
from maintenance.spares.models import Allowance, Spare
from tests.cast import TODAY
from tests.doors.api import wrongs

CLASS = "Sloop 38"
SAID = {"spare": "oil", "design": CLASS, "quantity": 2}


@pytest.fixture
def sloops(cast):
    """Two boats of one class, each with a locker."""
    Boat.objects.filter(code__in=["sandpiper", "twice-shy"]).update(design=CLASS)
    Boat.objects.filter(code="far-cry").update(design="Ketch 44")


def should(cast, spare: str, place: str) -> Decimal | None:
    return allowances(on=TODAY).get((cast.spare[spare].pk, cast.place[place].pk))


def test_what_a_class_carries_is_said_once_for_every_boat_of_it(cast, program, sloops):
    manager = program("manager")
    answer = manager.post("allowances/", SAID)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["place"], told["design"], told["from_on"]) == (None, CLASS, TODAY.isoformat())
    assert should(cast, "oil", "sandpiper locker") == should(cast, "oil", "twice shy locker") == 2
    assert should(cast, "oil", "blank page locker") is None
    row = f"allowances/{told['id']}/"
    assert manager.change(row, {"quantity": 3.5}).status_code == 200
    assert should(cast, "oil", "twice shy locker") == Decimal("3.5")
    own = {"spare": "oil", "place": cast.place["twice shy locker"].pk, "quantity": 1}
    assert manager.post("allowances/", own).status_code == 201
    assert should(cast, "oil", "twice shy locker") == 1, "what is said of her alone goes first"
    assert should(cast, "oil", "sandpiper locker") == Decimal("3.5")
    assert [one["id"] for one in manager.rows("allowances/", design=CLASS)] == [told["id"]]
    assert manager.delete(row).status_code == 204
    assert should(cast, "oil", "sandpiper locker") is None


def test_a_class_is_said_once_for_a_day(program, sloops):
    first = program("manager").post("allowances/", SAID).json()
    again = program("manager").post("allowances/", SAID | {"quantity": 4})
    assert (again.status_code, list(wrongs(again))) == (422, ["from_on"])
    assert str(first["id"]) in wrongs(again)["from_on"]
    assert Allowance.objects.get(pk=first["id"]).quantity == 2
    later = program("manager").post("allowances/", SAID | {"quantity": 4, "from_on": "2026-07-01"})
    assert later.json()["from_on"] == "2026-07-01"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"design": "Ketch 44"}, "design"),
        ({"design": "Raft"}, "design"),
        ({"design": 7}, "design"),
        ({"design": "x" * 121}, "design"),
        ({"design": ""}, "place"),
        ({"design": None}, "design"),
        ({"place": "store"}, "place"),
        ({"quantity": -1}, "quantity"),
        ({"quantity": "some"}, "quantity"),
        ({"quantity": None}, "quantity"),
        ({"from_on": "2026-13-01"}, "from_on"),
        ({"kit": "yes"}, "kit"),
    ],
)
def test_a_class_that_cannot_be_is_refused_by_field(cast, program, sloops, changed, field):
    if changed.get("place") == "store":
        changed = {"place": cast.place["store"].pk}
    answer = program("manager").post("allowances/", SAID | changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert Allowance.objects.count() == 2


def test_classes_of_other_bases_boats_are_not_seen(program, sloops):
    told = program("manager").post("allowances/", SAID).json()
    where = f"allowances/{told['id']}/"
    assert program("office").get(where).json() == told
    assert program("stranger").get(where).status_code == 404
    assert program("stranger").delete(where).status_code == 404
    assert program("engineer").delete(where).status_code == 403
    assert program("office").post("allowances/", SAID | {"from_on": "2026-07-01"}).status_code == 403


def test_a_spare_says_its_pack_its_newer_number_and_whether_the_old_one_goes_back(cast, program):
    said = {"code": "P-2", "name": "Pump", "pack_of": 4, "exchange": True, "superseded_by": "gas bottle"}
    answer = program("manager").post("spares/", said)
    assert answer.status_code == 201, answer.content
    assert {name: answer.json()[name] for name in said} == said
    plain = program("manager").post("spares/", {"code": "P-3", "name": "Pump"}).json()
    assert (plain["pack_of"], plain["exchange"], plain["superseded_by"]) == (1, False, None)
    for query, codes in (
        ({"superseded_by": "gas bottle"}, ["P-2"]),
        ({"exchange": "true"}, ["P-2"]),
        ({"part_number": "P-2"}, []),
    ):
        assert [row["code"] for row in program().rows("spares/", **query)] == codes, query
    changed = program("manager").change(f"spares/{answer.json()['id']}/", {"superseded_by": None}).json()
    assert changed["superseded_by"] is None


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"superseded_by": "P-2"}, "superseded_by"),
        ({"superseded_by": "oil"}, "superseded_by"),
        ({"superseded_by": "gold"}, "superseded_by"),
        ({"pack_of": 0}, "pack_of"),
        ({"pack_of": None}, "pack_of"),
        ({"pack_of": 0.0001}, "pack_of"),
        ({"exchange": "perhaps"}, "exchange"),
    ],
)
def test_a_spare_that_cannot_be_is_refused_by_field(cast, program, change, field):
    """Oil was superseded by P-2: it cannot supersede P-2 in turn."""
    row = program("manager").post("spares/", {"code": "P-2", "name": "Pump"}).json()["id"]
    Spare.objects.filter(code="oil").update(superseded_by=row)
    answer = program("manager").change(f"spares/{row}/", change)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    kept = Spare.objects.get(pk=row)
    assert (kept.superseded_by, kept.pack_of, kept.exchange) == (None, 1, False)


def test_where_what_is_looked_for_stands_is_not_made_or_changed_by_hand(cast, program):
    """It is found by its code: renamed, what is looked for would be nowhere."""
    missed = {"step": "missed", "spare": "oil", "place": cast.place["store"].pk, "quantity": 1}
    assert program().post("astray/", missed).status_code == 201
    [place] = [row for row in program("manager").rows("places/") if row["sort"] == "astray"]
    changed = program("manager").change(f"places/{place['id']}/", {"code": "bin"})
    assert (changed.status_code, list(wrongs(changed))) == (422, ["sort"])
    made = {"base": "harbour", "code": "bin", "name": "Bin", "sort": "astray"}
    assert list(wrongs(program("manager").post("places/", made))) == ["sort"]
    inside = made | {"sort": "shelf", "parent": place["id"]}
    assert list(wrongs(program("manager").post("places/", inside))) == ["parent"]
