"""Intervals, spares and allowances over the API: every boat that carries the kind follows."""

from datetime import date
from decimal import Decimal

import pytest

from fleet.boats.models import Kind
from maintenance.servicing.models import Due, ServiceInterval
from maintenance.spares.facts import allowances
from maintenance.spares.models import Allowance, Spare
from tests import factories as make
from tests.cast import TODAY, due_list_holds
from tests.doors.api import wrongs

NEW = {"code": "filter", "kind": "engine-oil", "task": "Change the filter", "every_months": 12}


def row_of(program, where, code):
    name = {"intervals": "interval", "spares": "spare"}[where]
    return f"{where}/{program('manager').rows(f'{where}/', **{name: code})[0]['id']}/"


def test_an_interval_is_told_with_what_it_settles_and_takes(cast, program):
    told = program().rows("intervals/", interval="replace")[0]
    assert (told["settles"], told["spares"]) == (["look"], [{"spare": "impeller kit", "quantity": 1}])
    assert (told["kind"], told["component"], told["every_hours"]) == ("impeller", None, 300)
    assert {row["code"] for row in program().rows("intervals/", kind="impeller")} == {"look", "replace"}


def test_a_new_interval_is_due_on_every_boat_that_carries_the_kind(cast, program):
    said = NEW | {"settles": ["change"], "spares": [{"spare": "oil", "quantity": 0.5}], "source": "Manual 3"}
    answer = program("manager").post("intervals/", said)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert {name: told[name] for name in said} == said
    assert answer["ETag"] == program().get(f"intervals/{told['id']}/")["ETag"]
    boats = Due.objects.filter(interval__code="filter").values_list("boat__code", flat=True)
    assert sorted(boats) == ["blank-page", "far-cry", "sandpiper", "twice-shy", "twice-shy"]
    assert due_list_holds()


def test_a_change_moves_the_due_days_and_replaces_what_is_listed(cast, program):
    row = row_of(program, "intervals", "rig")
    assert cast.due("sandpiper rigging", "rig").due_on == date(2026, 6, 2)
    changed = program("manager").change(row, {"every_months": 24, "spares": []})
    assert (changed.status_code, changed.json()["every_months"]) == (200, 24)
    assert cast.due("sandpiper rigging", "rig").due_on == date(2027, 6, 2)
    row = row_of(program, "intervals", "replace")
    changed = program("manager").change(row, {"settles": [], "spares": [{"spare": "oil", "quantity": 2}]})
    assert (changed.json()["settles"], changed.json()["spares"]) == ([], [{"spare": "oil", "quantity": 2}])
    assert program("manager").change(row, {"task": "New one"}).json()["spares"] == changed.json()["spares"]
    ended = program("manager").change(row, {"until_on": "2026-05-27"})
    assert ended.status_code == 200
    assert not Due.objects.filter(interval__code="replace").exists()
    assert due_list_holds()


def test_a_components_own_interval_is_its_boats_alone(cast, program):
    own = {"code": "own", "component": "sandpiper-rigging", "task": "Look aloft", "every_months": 1}
    answer = program("manager").post("intervals/", own | {"settles": ["rig"]})
    assert answer.status_code == 201, answer.content
    assert {d.boat for d in Due.objects.filter(interval__code="own")} == {cast.boat["sandpiper"]}
    row = f"intervals/{answer.json()['id']}/"
    assert program("stranger").get(row).status_code == 404
    assert program("stranger").rows("intervals/", interval="own") == []
    make.MembershipFactory(
        person=cast.person["stranger"], base=cast.base, role="engineer", from_on=date(2026, 1, 1)
    )
    assert program("stranger").change(row, {"every_months": 2}).status_code == 403
    assert due_list_holds()


def test_what_is_done_by_a_printed_date_carries_one(cast, program):
    kind = make.KindFactory(code="flares", system="safety")
    said = NEW | {"kind": "flares", "every_months": None, "on_expiry": True}
    assert program("manager").post("intervals/", said).status_code == 201
    assert Kind.objects.get(pk=kind.pk).date_required


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"code": "change"}, "code"),
        ({"code": "two words"}, "code"),
        ({"kind": None}, "kind"),
        ({"component": "sandpiper-rigging"}, "kind"),
        ({"kind": None, "component": "far-cry-engine-oil"}, "component"),
        ({"task": ""}, "task"),
        ({"every_months": None}, "every_months"),
        ({"every_months": 0}, "every_months"),
        ({"every_months": 1201}, "every_months"),
        ({"every_months": 10**400}, "every_months"),
        ({"every_hours": 0}, "every_hours"),
        ({"every_hours": 10**7}, "every_hours"),
        ({"every_hours": 1.001}, "every_hours"),
        ({"season_opens": "10-15"}, "season_closes"),
        ({"season_closes": "03-31"}, "season_opens"),
        ({"season_opens": "02-30", "season_closes": "03-31"}, "season_opens"),
        ({"season_opens": "W1-1", "season_closes": "03-31"}, "season_opens"),
        ({"counts_from": "never"}, "counts_from"),
        ({"late_days": 36_501}, "late_days"),
        ({"minutes": -1}, "minutes"),
        ({"settles": ["rig"]}, "settles"),
        ({"settles": ["nothing"]}, "settles[0]"),
        ({"settles": {"rig": 1}}, "settles"),
        ({"spares": {"oil": 1}}, "spares"),
        ({"spares": ["oil"]}, "spares[0]"),
        ({"spares": [{"spare": "oil", "quantity": 0}]}, "spares[0].quantity"),
        ({"spares": [{"spare": "tar", "quantity": 1}]}, "spares[0].spare"),
        ({"spares": [{"spare": "oil", "quantity": 1}] * 2}, "spares"),
        ({"from_on": "2026-06-01", "until_on": "2026-05-31"}, "until_on"),
        ({"until_on": "9999-12-31"}, "until_on"),
        ({"source": "a\0"}, "source"),
    ],
)
def test_an_interval_that_cannot_be_is_refused_by_field(cast, program, change, field):
    answer = program("manager").post("intervals/", NEW | change)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert ServiceInterval.objects.count() == 6
    assert due_list_holds()


def test_the_longest_and_the_furthest_still_have_an_answer(cast, program):
    most = {"every_months": 1200, "early_days": 36_500, "late_days": 36_500, "counts_from": "due"}
    most |= {"every_hours": 999_999.99, "late_hours": 999_999.99, "every_charters": 1000}
    most |= {"season_opens": "02-29", "season_closes": "02-28", "minutes": 100_000}
    answer = program("manager").post("intervals/", NEW | most)
    assert answer.status_code == 201, answer.content
    assert program().rows("due/", interval="filter")
    assert due_list_holds()


@pytest.mark.parametrize(("lacking", "given"), [("spare", {"quantity": 1}), ("quantity", {"spare": "oil"})])
def test_a_spare_it_takes_is_said_whole_also_in_a_change(cast, program, lacking, given):
    answer = program("manager").change(row_of(program, "intervals", "rig"), {"spares": [given]})
    assert (answer.status_code, list(wrongs(answer))) == (400, [f"spares[0].{lacking}"])
    assert not cast.interval["rig"].spares.exists()


def test_a_change_leaves_no_interval_without_a_limb(cast, program):
    answer = program("manager").change(row_of(program, "intervals", "rig"), {"every_months": None})
    assert (answer.status_code, list(wrongs(answer))) == (422, ["every_months"])
    itself = program("manager").change(row_of(program, "intervals", "rig"), {"settles": ["rig"]})
    assert (itself.status_code, list(wrongs(itself))) == (422, ["settles"])
    assert cast.due("sandpiper rigging", "rig").due_on == date(2026, 6, 2)


def test_a_spare_is_listed_and_described(cast, program):
    said = {"code": "007", "name": "Belt", "part_number": "00-12", "kind": "impeller", "lead_days": 14}
    answer = program("manager").post("spares/", said)
    assert answer.status_code == 201, answer.content
    assert {name: answer.json()[name] for name in said} == said
    changed = program("manager").change(f"spares/{answer.json()['id']}/", {"kind": None, "supplier": "Quay"})
    assert (changed.json()["kind"], changed.json()["supplier"]) == (None, "Quay")
    for change, field in (
        ({"code": "oil"}, "code"),
        ({"lead_days": 9999}, "lead_days"),
        ({"kind": 3}, "kind"),
    ):
        answer = program("manager").post("spares/", said | {"code": "8"} | change)
        assert answer.status_code in (400, 422)
        assert list(wrongs(answer)) == [field]
    assert program("office").post("spares/", said | {"code": "9"}).status_code == 403
    assert Spare.objects.count() == 4


def should(cast, spare, place):
    return allowances(on=TODAY).get((cast.spare[spare].pk, cast.place[place].pk))


def test_an_allowance_is_said_changed_and_taken_back(cast, program):
    manager, store = program("manager"), cast.place["store"]
    answer = manager.post("allowances/", {"spare": "oil", "place": store.pk, "quantity": 12.5})
    assert answer.status_code == 201, answer.content
    assert (answer.json()["from_on"], should(cast, "oil", "store")) == (TODAY.isoformat(), Decimal("12.5"))
    row = f"allowances/{answer.json()['id']}/"
    assert manager.change(row, {"quantity": 10}).status_code == 200
    assert should(cast, "oil", "store") == 10
    early = {"spare": "oil", "place": store.pk, "quantity": 3, "from_on": "2026-01-01"}
    assert manager.post("allowances/", early).status_code == 201
    again = manager.post("allowances/", early | {"quantity": 4})
    assert (again.status_code, list(wrongs(again))) == (422, ["from_on"])
    assert program("office").delete(row).status_code == 403
    assert program("stranger").delete(row).status_code == 404
    assert manager.delete(row).status_code == 204
    assert should(cast, "oil", "store") == 3, "the word before counts again"
    assert manager.delete(row).status_code == 404


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"spare": "tar"}, "spare"),
        ({"place": "far store"}, "place"),
        ({"place": 10**30}, "place"),
        ({"place": "store"}, "place"),
        ({"place": True}, "place"),
        ({"quantity": -1}, "quantity"),
        ({"quantity": 10**9}, "quantity"),
        ({"quantity": "NaN"}, "quantity"),
        ({"from_on": "9999-12-31"}, "from_on"),
    ],
)
def test_an_allowance_that_cannot_be_is_refused_by_field(cast, program, change, field):
    said = {"spare": "oil", "place": cast.place["store"].pk, "quantity": 1} | change
    if said["place"] == "far store":
        said["place"] = cast.place["far store"].pk
    answer = program("manager").post("allowances/", said)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert Allowance.objects.count() == 2


def test_a_task_of_the_lay_up_leaves_the_lists_of_boats_in_use(cast, program):
    (row,) = program().rows("intervals/", interval="rig")
    assert row["in_lay_up"] is False
    assert len(program().rows("due/", interval="rig", days=3660, boat="sandpiper")) == 1
    told = program("manager").change(f"intervals/{row['id']}/", {"in_lay_up": True}).json()
    assert told["in_lay_up"] is True
    assert program().rows("due/", interval="rig", days=3660, boat="sandpiper") == []
    assert [r["code"] for r in program().rows("intervals/", in_lay_up="true")] == ["rig"]
    assert due_list_holds()
