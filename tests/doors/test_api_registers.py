"""The tables that can be changed, over the API: what is listed, who may change what, and which version."""

import pytest

from fleet.api.docs import described
from fleet.boats.models import Boat, BoatTerms, Component, Fitting, Kind, Meter, Place, PrintedDate
from fleet.charters.actions import change_boat
from fleet.charters.models import Charter, CharterBoat
from maintenance.servicing.models import ServiceInterval
from maintenance.spares.models import Allowance, Spare
from tests import factories as make
from tests.cast import NOW, TODAY
from tests.doors.api import wrongs

NOT_THEIRS = {"far-cry"}
FAR = {"boat__code__in": NOT_THEIRS}
# Where each table stands, its rows, which of them are another base's, and how a row is told from others.
TABLES = {
    "boats": (Boat, {"code__in": NOT_THEIRS}, "code"),
    "terms": (BoatTerms, FAR, "boat__code"),
    "places": (Place, {"code": "far"}, "code"),
    "meters": (Meter, FAR, "name"),
    "kinds": (Kind, {"code": "none is"}, "code"),
    "components": (Component, {"code__startswith": "far-cry"}, "code"),
    "fittings": (Fitting, FAR, "component__code"),
    "printed-dates": (PrintedDate, {"component__code__startswith": "far-cry"}, "component__code"),
    "charters": (Charter, {"code": "F1"}, "code"),
    "charter-boats": (CharterBoat, {"charter__code": "F1"}, "charter__code"),
    "intervals": (ServiceInterval, {"code": "far own"}, "code"),
    "spares": (Spare, {"code": "none is"}, "code"),
    "allowances": (Allowance, {"place__code": "far"}, "spare__code"),
}
LEDGERS = ["terms", "fittings", "printed-dates", "charter-boats"]


@pytest.fixture
def everything(cast):
    """The cast, and one of what it lacks: at its base and at the other."""
    make.PlaceFactory(base=cast.base, code="shelf", parent=cast.place["store"], sort="shelf")
    make.AllowanceFactory(spare=cast.spare["oil"], place=cast.place["far store"])
    make.PrintedDateFactory(component=cast.part["far cry engine-oil"], good_through=TODAY)
    own = {"every_months": 6}
    make.IntervalFactory(code="own", component=cast.part["sandpiper rigging"], **own)
    make.IntervalFactory(code="far own", component=cast.part["far cry engine-oil"], **own)
    moved = cast.charter["S4"]
    change_boat(moved, cast.boat["twice shy"], from_on=moved.starts_on, why="", at=NOW)
    Place.objects.filter(pk=cast.place["far cry locker"].pk).update(code="far")
    return cast


def all_of(model):
    return model.objects.standing() if hasattr(model.objects, "standing") else model.objects.all()


@pytest.mark.parametrize("where", TABLES)
@pytest.mark.parametrize("who", ["engineer", "office", "manager"])
def test_a_list_holds_every_row_of_ones_base_and_no_other(everything, program, where, who):
    model, others, name = TABLES[where]
    wanted = dict(all_of(model).exclude(**others).values_list("pk", name))
    told = program(who).rows(f"{where}/", page_size=3)
    assert {row["id"] for row in told} == set(wanted)
    assert len(told) == len(wanted) > 0
    assert [row["id"] for row in told] == sorted(wanted)
    column = name.split("__")[0]
    assert {row["id"]: row[column] for row in told} == wanted


@pytest.mark.parametrize("where", TABLES)
def test_a_row_by_its_number_is_as_the_list_tells_it_and_anothers_is_not_found(everything, program, where):
    model, others, _ = TABLES[where]
    told = program().rows(f"{where}/")[-1]
    assert program().get(f"{where}/{told['id']}/").json() == told
    theirs = model.objects.filter(**others).first()
    if theirs is not None:
        assert program().get(f"{where}/{theirs.pk}/").status_code == 404
        assert program("stranger").get(f"{where}/{theirs.pk}/").status_code == 200


@pytest.mark.parametrize("where", TABLES)
def test_a_list_takes_as_many_questions_for_many_rows_as_for_one(
    everything, program, where, django_assert_max_num_queries
):
    caller = program()
    with django_assert_max_num_queries(12):
        caller.get(f"{where}/", page_size=1)
    with django_assert_max_num_queries(12):
        caller.get(f"{where}/", page_size=5000)


CHANGES = {
    "boats": {"name": "Sand Piper"},
    "places": {"name": "Shed"},
    "meters": {"counts": "running"},
    "kinds": {"name": "Oil"},
    "components": {"serial": "007"},
    "charters": {"berth": "B2"},
    "intervals": {"task": "Change it"},
    "spares": {"unit": "can"},
    "allowances": {"quantity": 4},
}
MANAGER, DESK, WORKSHOP = {"manager"}, {"manager", "office"}, {"manager", "engineer"}
MAY = {
    "boats": DESK,
    "places": DESK,
    "meters": DESK,
    "kinds": MANAGER,
    "components": WORKSHOP,
    "charters": DESK,
    "intervals": MANAGER,
    "spares": MANAGER,
    "allowances": MANAGER,
}


@pytest.mark.parametrize("where", CHANGES)
@pytest.mark.parametrize("who", ["engineer", "office", "manager"])
def test_a_row_is_changed_by_whose_role_it_is_and_by_nobody_else(everything, program, where, who):
    caller = program(who)
    row = caller.rows(f"{where}/")[0]
    answer = caller.change(f"{where}/{row['id']}/", CHANGES[where])
    after = caller.get(f"{where}/{row['id']}/").json()
    if who in MAY[where]:
        assert (answer.status_code, answer.json()) == (200, row | CHANGES[where])
        assert after == row | CHANGES[where] != row
    else:
        assert (answer.status_code, after) == (403, row)


@pytest.mark.parametrize("where", CHANGES)
def test_another_bases_row_is_not_there_to_be_changed(everything, program, where):
    model, others, _ = TABLES[where]
    for row in model.objects.filter(**others):
        answer = program("manager").patch(f"{where}/{row.pk}/", CHANGES[where], {"If-Match": "*"})
        assert answer.status_code == 404


@pytest.mark.parametrize("where", CHANGES)
def test_a_change_names_the_version_it_was_made_to(everything, program, where):
    caller = program("manager")
    where = f"{where}/{caller.rows(f'{where}/')[0]['id']}/"
    change = CHANGES[where.split("/")[0]]
    assert caller.patch(where, change).status_code == 428
    read = caller.get(where)["ETag"]
    first = caller.patch(where, change, {"If-Match": read})
    assert first.status_code == 200
    again = caller.patch(where, change, {"If-Match": read})
    assert again.status_code == 412
    assert "read it again" in again.json()["detail"]
    assert caller.patch(where, change, {"If-Match": first["ETag"]}).status_code == 200


@pytest.mark.parametrize("where", CHANGES)
def test_what_names_a_row_is_not_changed_and_nothing_else_is_then(everything, program, where):
    caller = program("manager")
    row = caller.rows(f"{where}/")[0]
    fixed = {"places": "boat", "meters": "boat", "allowances": "spare"}.get(where, "code")
    answer = caller.change(f"{where}/{row['id']}/", CHANGES[where] | {fixed: "other"})
    assert (answer.status_code, wrongs(answer)) == (400, {fixed: "not wanted here"})
    assert caller.get(f"{where}/{row['id']}/").json() == row


@pytest.mark.parametrize("where", LEDGERS)
def test_a_ledgers_row_is_neither_changed_nor_removed(everything, program, where):
    caller = program("manager")
    row = caller.rows(f"{where}/")[0]
    assert caller.patch(f"{where}/{row['id']}/", {"why": "x"}, {"If-Match": "*"}).status_code == 405
    assert caller.delete(f"{where}/{row['id']}/").status_code == 405


def test_a_change_of_a_charters_boat_has_no_correction(everything, program):
    row = CharterBoat.objects.standing().first()
    answer = program("manager").post(f"charter-boats/{row.pk}/corrections/", {"void": True})
    assert answer.status_code == 404
    assert "/api/charter-boats/{id}/corrections/" not in described()["paths"]
    assert "/api/fittings/{id}/corrections/" in described()["paths"]
