"""Components and where they are, over the API: the due list follows."""

from datetime import date
from decimal import Decimal

import pytest

from fleet.boats.models import Component, Fitting
from maintenance.servicing.models import Due
from tests import factories as make
from tests.cast import due_list_holds, served
from tests.doors.api import wrongs

IMPELLER = {"code": "imp-2", "kind": "impeller", "boat": "sandpiper", "fitted_on": "2026-05-02"}


def lines(component):
    return set(Due.objects.filter(component=component).values_list("boat__code", "interval__code"))


def test_a_new_component_is_fitted_and_its_tasks_are_listed(cast, program):
    said = IMPELLER | {"serial": "0042", "meter": "main", "dial": 1120, "position": "port", "quantity": 2}
    answer = program("engineer").post("components/", said)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["boat"], told["position"], told["serial"], told["quantity"]) == (
        "sandpiper",
        "port",
        "0042",
        2,
    )
    part = Component.objects.get(code="imp-2")
    stay = Fitting.objects.get(component=part)
    assert (stay.meter, stay.dial, stay.fitted_on) == (
        cast.meter["sandpiper main"],
        1120,
        date(2026, 5, 2),
    )
    assert lines(part) == {("sandpiper", "look"), ("sandpiper", "replace")}
    assert Due.objects.get(component=part, interval__code="look").due_hours == 1220
    assert due_list_holds()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"code": "far-cry-engine-oil"}, "code"),
        ({"kind": "warp drive"}, "kind"),
        ({"boat": "far-cry"}, "boat"),
        ({"fitted_on": "2026-05-29"}, "fitted_on"),
        ({"fitted_on": "0001-01-01"}, "fitted_on"),
        ({"fitted_on": "9999-12-31"}, "fitted_on"),
        ({"fitted_on": None}, "fitted_on"),
        ({"meter": "port"}, "meter"),
        ({"meter": 7}, "meter"),
        ({"dial": 100}, "dial"),
        ({"meter": "main", "dial": 100}, "dial"),
        ({"quantity": 0}, "quantity"),
        ({"quantity": 10**9}, "quantity"),
        ({"serial": "a\0b"}, "serial"),
        ({"serial": "\ud800"}, "serial"),
        ({"made_on": "yesterday"}, "made_on"),
    ],
)
def test_a_component_that_cannot_be_is_refused_by_field_and_leaves_nothing(cast, program, change, field):
    before = Component.objects.count(), Fitting.objects.count()
    answer = program("engineer").post("components/", IMPELLER | change)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert (Component.objects.count(), Fitting.objects.count()) == before
    assert due_list_holds()


def test_the_office_fits_nothing(cast, program):
    assert program("office").post("components/", IMPELLER).status_code == 403
    said = {"component": "sandpiper-impeller", "boat": None, "on": "2026-05-28"}
    assert program("office").post("fittings/", said).status_code == 403


def test_a_component_moves_with_its_hours_and_both_lists_follow(cast, program):
    said = {
        "component": "sandpiper-impeller",
        "boat": "twice-shy",
        "on": "2026-05-28",
        "meter": "port",
        "dial_removed": 1190.4,
        "dial": 1802,
        "why": "swap",
        "client_id": "m1",
    }
    answer = program("engineer").post("fittings/", said)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["boat"], told["meter"], told["dial"], told["client_id"]) == ("twice-shy", "port", 1802, "m1")
    part = cast.part["sandpiper impeller"]
    left = Fitting.objects.standing().get(component=part, removed_on__isnull=False)
    assert (left.boat, left.dial_removed) == (cast.boat["sandpiper"], Decimal("1190.4"))
    assert lines(part) == {("twice-shy", "look"), ("twice-shy", "replace")}
    assert due_list_holds()
    again = program("engineer").post("fittings/", said)
    assert (again.status_code, again.json()) == (200, told)


def test_a_component_is_taken_off_kept_ashore_and_fitted_again(cast, program):
    engineer, part = program("engineer"), cast.part["sandpiper impeller"]
    off = {"component": "sandpiper-impeller", "boat": None, "on": "2026-05-25", "dial_removed": 1190.4}
    answer = engineer.post("fittings/", off)
    assert answer.status_code == 201, answer.content
    assert (answer.json()["boat"], answer.json()["removed_on"]) == ("sandpiper", "2026-05-25")
    assert lines(part) == set()
    assert due_list_holds()
    told = engineer.rows("components/", component="sandpiper-impeller")[0]
    assert (told["boat"], told["code"]) == (None, "sandpiper-impeller")
    twice = engineer.post("fittings/", off)
    assert (twice.status_code, list(wrongs(twice))) == (422, ["component"])
    early = engineer.post("fittings/", off | {"boat": "blank-page", "on": "2026-05-24", "dial_removed": None})
    assert list(wrongs(early)) == ["on"]
    on = {"component": "sandpiper-impeller", "boat": "blank-page", "on": "2026-05-27", "meter": "main"}
    assert engineer.post("fittings/", on).status_code == 201
    assert lines(part) == {("blank-page", "look"), ("blank-page", "replace")}
    assert due_list_holds()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"component": "far-cry-engine-oil"}, "component"),
        ({"component": ["sandpiper-impeller"]}, "component"),
        ({"boat": "far-cry"}, "boat"),
        ({"on": "2026-05-29"}, "on"),
        ({"on": "2023-02-28"}, "on"),
        ({"on": "0001-01-01"}, "on"),
        ({"meter": "main"}, "meter"),
        ({"meter": "port", "dial": 1}, "dial"),
        ({"dial": 1802}, "dial"),
        ({"dial_removed": 1}, "dial_removed"),
        ({"dial_removed": 10**12}, "dial_removed"),
        ({"boat": None, "dial": 5}, "dial"),
        ({"boat": None, "position": "x"}, "position"),
        ({"why": "x" * 201}, "why"),
    ],
)
def test_a_move_that_cannot_be_is_refused_by_field_and_leaves_nothing(cast, program, change, field):
    before = Fitting.objects.count()
    said = {"component": "sandpiper-impeller", "boat": "twice-shy", "on": "2026-05-28"} | change
    answer = program("engineer").post("fittings/", said)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert Fitting.objects.count() == before
    assert due_list_holds()


@pytest.mark.parametrize(("role", "status"), [("engineer", 201), ("office", 403)])
def test_a_boat_of_another_base_takes_a_part_from_who_works_there_too(cast, program, role, status):
    base = cast.boat["far cry"].terms.get().base
    make.MembershipFactory(person=cast.person["engineer"], base=base, role=role)
    said = {"component": "sandpiper-impeller", "boat": "far-cry", "on": "2026-05-28"}
    assert program("engineer").post("fittings/", said).status_code == status
    assert due_list_holds()


def test_the_last_stay_is_taken_back_step_by_step(cast, program):
    engineer, part = program("engineer"), cast.part["sandpiper impeller"]
    move = {"component": "sandpiper-impeller", "boat": "twice-shy", "on": "2026-05-28", "meter": "port"}
    new = engineer.post("fittings/", move).json()["id"]
    old = Fitting.objects.standing().get(component=part, boat=cast.boat["sandpiper"])
    early = engineer.post(f"fittings/{old.pk}/corrections/", {"void": True})
    assert (early.status_code, list(wrongs(early))) == (409, ["void"])
    undone = engineer.post(f"fittings/{new}/corrections/", {"void": True, "client_id": "u1"})
    assert (undone.status_code, undone.json()["void"]) == (201, True)
    assert lines(part) == set()
    assert engineer.post(f"fittings/{new}/corrections/", {"void": True, "client_id": "u1"}).status_code == 200
    back = engineer.post(f"fittings/{old.pk}/corrections/", {"void": True})
    assert (back.status_code, back.json()["removed_on"], back.json()["void"]) == (201, None, False)
    assert lines(part) == {("sandpiper", "look"), ("sandpiper", "replace")}
    assert due_list_holds()


def test_a_stay_that_something_rests_on_is_not_taken_back(cast, program):
    engineer = program("engineer")
    only = Fitting.objects.standing().get(component=cast.part["blank page rigging"])
    answer = engineer.post(f"fittings/{only.pk}/corrections/", {"void": True})
    assert (answer.status_code, list(wrongs(answer))) == (409, ["void"])
    move = {"component": "sandpiper-impeller", "boat": "twice-shy", "on": "2026-05-25", "meter": "port"}
    new = engineer.post("fittings/", move).json()["id"]
    served(cast, "sandpiper impeller", "look", "2026-05-26")
    answer = engineer.post(f"fittings/{new}/corrections/", {"void": True})
    assert (answer.status_code, list(wrongs(answer))) == (409, ["void"])
    assert list(wrongs(engineer.post(f"fittings/{new}/corrections/", {"void": False}))) == ["void"]
    assert list(wrongs(engineer.post(f"fittings/{new}/corrections/", {}))) == ["void"]
    assert Fitting.objects.standing().filter(pk=new).exists()
