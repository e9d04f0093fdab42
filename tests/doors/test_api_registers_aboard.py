"""Places, hour meters and kinds, added and changed over the API."""

import pytest

from fleet.boats.models import Kind, Meter, Place
from tests import factories as make
from tests.doors.api import wrongs


def test_a_place_is_made_in_a_store_and_aboard(cast, program):
    shelf = {"code": "s1", "name": "Shelf 1", "sort": "shelf", "base": "harbour"}
    answer = program("office").post("places/", shelf | {"parent": cast.place["store"].pk})
    assert answer.status_code == 201, answer.content
    assert answer.json() == {
        "id": answer.json()["id"],
        "code": "s1",
        "name": "Shelf 1",
        "sort": "shelf",
        "base": "harbour",
        "boat": None,
        "parent": cast.place["store"].pk,
    }
    aboard = {"code": "bilge", "name": "Bilge", "sort": "locker", "boat": "sandpiper"}
    assert program("office").post("places/", aboard).status_code == 201
    assert Place.objects.get(code="bilge").boat == cast.boat["sandpiper"]


def test_a_place_is_in_no_other_bases_hands_and_not_inside_itself(cast, program):
    manager = program("manager")
    store, locker = cast.place["store"], cast.place["sandpiper locker"]
    inner = make.PlaceFactory(base=cast.base, parent=store, sort="shelf")
    new = {"code": "x", "name": "X", "sort": "shelf"}
    for said, field in (
        (new, "base"),
        (new | {"base": "harbour", "boat": "sandpiper"}, "base"),
        (new | {"base": "elsewhere"}, "base"),
        (new | {"boat": "far-cry"}, "boat"),
        (new | {"base": "harbour", "parent": locker.pk}, "parent"),
        (new | {"base": "harbour", "parent": cast.place["far store"].pk}, "parent"),
        (new | {"base": "harbour", "code": "store"}, "code"),
        (new | {"boat": "sandpiper", "code": "locker"}, "code"),
    ):
        answer = manager.post("places/", said)
        assert answer.status_code in (400, 422), said
        assert list(wrongs(answer)) == [field]
    for parent in (inner.pk, store.pk, locker.pk):
        answer = manager.change(f"places/{store.pk}/", {"parent": parent})
        assert (answer.status_code, list(wrongs(answer))) == (422, ["parent"])
    assert Place.objects.get(pk=store.pk).parent is None
    assert manager.change(f"places/{inner.pk}/", {"parent": None}).status_code == 200


def test_a_meter_has_a_name_of_its_own_aboard(cast, program):
    manager = program("manager")
    made = manager.post("meters/", {"boat": "sandpiper", "name": "generator", "counts": "running"})
    assert made.status_code == 201, made.content
    assert Meter.objects.get(name="generator").boat == cast.boat["sandpiper"]
    assert manager.post("meters/", {"boat": "blank-page", "name": "generator"}).status_code == 201
    for said, field in (
        ({"boat": "sandpiper", "name": "main"}, "name"),
        ({"boat": "far-cry", "name": "aux"}, "boat"),
        ({"boat": "sandpiper", "name": "aux", "counts": "sometimes"}, "counts"),
    ):
        answer = manager.post("meters/", said)
        assert answer.status_code in (400, 422)
        assert list(wrongs(answer)) == [field]
    answer = manager.change(f"meters/{made.json()['id']}/", {"name": "main"})
    assert (answer.status_code, list(wrongs(answer))) == (422, ["name"])


def test_a_kind_says_which_dates_one_of_it_carries(cast, program):
    manager = program("manager")
    made = manager.post(
        "kinds/", {"code": "epirb", "name": "EPIRB", "system": "safety", "dates": ["battery", "release unit"]}
    )
    assert made.status_code == 201, made.content
    assert sorted(made.json()["dates"]) == ["battery", "release unit"]
    row = f"kinds/{made.json()['id']}/"
    changed = manager.change(row, {"dates": ["battery"], "function": "alarm"})
    assert (changed.json()["dates"], changed.json()["function"]) == (["battery"], "alarm")
    assert manager.change(row, {"name": "Beacon"}).json()["dates"] == ["battery"]
    assert list(Kind.objects.get(code="epirb").dates.values_list("what", flat=True)) == ["battery"]
    assert {"epirb"} <= {kind["code"] for kind in program("stranger").rows("kinds/")}


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"code": "engine-oil"}, "code"),
        ({"system": ""}, "system"),
        ({"dates": "battery"}, "dates"),
        ({"dates": ["x"] * 13}, "dates"),
        ({"dates": ["x" * 41]}, "dates[0]"),
        ({"dates": [{"what": "battery"}]}, "dates[0]"),
        ({"date_required": True}, "date_required"),
    ],
)
def test_a_kind_that_cannot_be_is_refused_by_field(cast, program, change, field):
    said = {"code": "epirb", "name": "EPIRB", "system": "safety"} | change
    answer = program("manager").post("kinds/", said)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert not Kind.objects.filter(name="EPIRB").exists()
