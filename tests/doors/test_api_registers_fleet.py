"""Boats and their terms, added and changed over the API."""

from datetime import date

import pytest

from fleet.boats.models import SINCE_EVER, Boat, BoatTerms
from tests import factories as make
from tests.cast import TODAY, due_list_holds
from tests.doors.api import wrongs

NEW_BOAT = {"code": "tern", "name": "Tern", "base": "harbour", "built": 2019, "fuel_l": 200}


def test_a_boat_joins_a_base_and_is_its_own_since_ever(cast, program):
    answer = program("office").post("boats/", NEW_BOAT)
    assert answer.status_code == 201, answer.content
    boat = Boat.objects.get(code="tern")
    assert answer.json() == {
        "id": boat.pk,
        "code": "tern",
        "name": "Tern",
        "base": "harbour",
        "design": "",
        "built": 2019,
        "hull_no": "",
        "fuel_l": 200,
        "water_l": None,
    }
    assert answer["ETag"] == program("office").get(f"boats/{boat.pk}/")["ETag"]
    terms = BoatTerms.objects.get(boat=boat)
    assert (terms.base, terms.from_on, terms.recorded_by) == (cast.base, SINCE_EVER, cast.person["office"])


def test_a_boat_is_added_where_ones_role_allows_it_only(cast, program):
    assert program("engineer").post("boats/", NEW_BOAT).status_code == 403
    make.MembershipFactory(
        person=cast.person["engineer"], base=cast.boat["far cry"].terms.get().base, role="manager"
    )
    assert program("engineer").post("boats/", NEW_BOAT).status_code == 403
    assert list(wrongs(program("stranger").post("boats/", NEW_BOAT))) == ["base"]
    assert not Boat.objects.filter(code="tern").exists()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"code": "sandpiper"}, "code"),
        ({"code": "far-cry"}, "code"),
        ({"code": "a\u200bb"}, "code"),
        ({"code": "x" * 65}, "code"),
        ({"code": ""}, "code"),
        ({"name": "T\u0007"}, "name"),
        ({"base": "elsewhere"}, "base"),
        ({"base": ["harbour"]}, "base"),
        ({"built": 1066}, "built"),
        ({"built": 2**70}, "built"),
        ({"fuel_l": -1}, "fuel_l"),
        ({"colour": "red"}, "colour"),
    ],
)
def test_a_boat_that_cannot_be_is_refused_by_field(cast, program, change, field):
    answer = program("manager").post("boats/", NEW_BOAT | change)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert not Boat.objects.filter(name__startswith="T").exclude(code="twice-shy").exists()


def test_a_taken_code_says_so(cast, program):
    answer = program("manager").post("boats/", NEW_BOAT | {"code": "sandpiper"})
    assert (answer.status_code, wrongs(answer)) == (
        422,
        {"code": "found sandpiper; wanted another one, for it is taken"},
    )


def test_terms_say_what_holds_from_a_day_on_and_the_rest_stays(cast, program):
    first = BoatTerms.objects.get(boat=cast.boat["sandpiper"])
    put_right = program("manager").post(f"terms/{first.pk}/corrections/", {"persons": 8, "area": "coastal"})
    assert put_right.status_code == 201, put_right.content
    answer = program("office").post(
        "terms/", {"boat": "sandpiper", "from_on": "2026-06-01", "state": "lay-up", "client_id": "t1"}
    )
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["state"], told["persons"], told["area"], told["base"]) == (
        "lay-up",
        8,
        "coastal",
        "harbour",
    )
    again = program("office").post(
        "terms/", {"boat": "sandpiper", "from_on": "2026-06-01", "state": "lay-up", "client_id": "t1"}
    )
    assert (again.status_code, again.json()["id"]) == (200, told["id"])
    assert due_list_holds()


@pytest.fixture
def both(cast):
    """The manager works at the other base too, in a role of the test's choice."""
    elsewhere = cast.boat["far cry"].terms.get().base

    def both(role):
        make.MembershipFactory(person=cast.person["manager"], base=elsewhere, role=role)
        return elsewhere

    return both


@pytest.mark.parametrize(("role", "done"), [("manager", True), ("office", True), ("engineer", False)])
def test_a_boat_goes_to_another_base_by_who_may_change_boats_at_both(cast, program, both, role, done):
    elsewhere = both(role)
    said = {"boat": "sandpiper", "from_on": TODAY.isoformat(), "base": "elsewhere"}
    answer = program("manager").post("terms/", said)
    assert answer.status_code == (201 if done else 403)
    assert Boat.objects.all().base_by_boat(TODAY)[cast.boat["sandpiper"].pk] == (
        elsewhere.pk if done else cast.base.pk
    )
    assert due_list_holds()
    if done:
        seen = {row["code"] for row in program("engineer").rows("boats/")}
        assert "sandpiper" not in seen
        row = answer.json()["id"]
        assert program("engineer").post(f"terms/{row}/corrections/", {"void": True}).status_code == 403
        back = program("manager").post(f"terms/{row}/corrections/", {"void": True})
        assert back.status_code == 201, back.content
        assert Boat.objects.all().base_by_boat(TODAY)[cast.boat["sandpiper"].pk] == cast.base.pk
        assert due_list_holds()


def test_due_days_follow_a_boat_to_a_base_whose_meters_run_otherwise(cast, program, both):
    """Far Cry's base has no charter day read, so the hours a day are everybody's: the list must be
    what a fresh derivation gives, whichever base she is at."""
    both("manager")
    before = cast.due("sandpiper engine-oil", "change")
    program("manager").post(
        "terms/", {"boat": "sandpiper", "from_on": TODAY.isoformat(), "base": "elsewhere"}
    )
    after = cast.due("sandpiper engine-oil", "change")
    assert before.pk != after.pk, "written afresh"
    assert due_list_holds()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"boat": "far-cry"}, "boat"),
        ({"base": "elsewhere"}, "base"),
        ({"from_on": "0001-01-01"}, "from_on"),
        ({"from_on": "9999-12-31"}, "from_on"),
        ({"from_on": SINCE_EVER.isoformat()}, "from_on"),
        ({"persons": 0}, "persons"),
        ({"state": "sunk"}, "state"),
    ],
)
def test_terms_that_cannot_be_are_refused_by_field(cast, program, change, field):
    said = {"boat": "sandpiper", "from_on": "2026-06-01"} | change
    answer = program("manager").post("terms/", said)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert BoatTerms.objects.filter(boat=cast.boat["sandpiper"]).count() == 1


@pytest.mark.parametrize(
    ("body", "field"),
    [({"void": True}, "void"), ({"from_on": "2026-01-01"}, "from_on"), ({}, "void")],
)
def test_a_boat_is_a_bases_on_every_day(cast, program, body, field):
    first = BoatTerms.objects.get(boat=cast.boat["sandpiper"])
    answer = program("manager").post(f"terms/{first.pk}/corrections/", body)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert BoatTerms.objects.standing().get(boat=cast.boat["sandpiper"]) == first


def test_terms_as_known_before_they_were_put_right_are_still_told(cast, program):
    first = BoatTerms.objects.get(boat=cast.boat["sandpiper"])
    program("manager").post(f"terms/{first.pk}/corrections/", {"persons": 8})
    before = program().rows("terms/", boat="sandpiper", known_at="2026-05-20T00:00:00Z")
    now = program().rows("terms/", boat="sandpiper")
    assert ([row["persons"] for row in before], [row["persons"] for row in now]) == ([None], [8])
    assert date.fromisoformat(now[0]["from_on"]) == SINCE_EVER
