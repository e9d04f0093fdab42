"""Charters booked, changed and called off over the API, and the boats under them: the due lists follow."""

from datetime import date, time

import pytest

from fleet.charters.links import make_link
from fleet.charters.models import Charter, CharterBoat
from tests import factories as make
from tests.cast import NOW, due_list_holds
from tests.doors.api import wrongs

NEW = {"code": "N1", "boat": "sandpiper", "starts_on": "2026-06-13", "ends_on": "2026-06-20"}


def test_a_charter_is_booked_and_what_comes_up_by_charters_follows(cast, program):
    assert cast.due("sandpiper impeller", "replace").missing == "charter"
    told = NEW | {"leaves_at": "17:00", "back_at": "09:00", "berth": "A4", "persons": 6, "skipper": "M. Reis"}
    answer = program("office").post("charters/", told)
    assert answer.status_code == 201, answer.content
    said = answer.json()
    assert {n: said[n] for n in told} == told | {"leaves_at": "17:00:00", "back_at": "09:00:00"}
    assert (said["sort"], said["cancelled_at"]) == ("hire", None)
    assert due_list_holds()
    for n, (start, end) in enumerate((("2026-06-20", "2026-08-20"), ("2026-08-20", "2026-12-20"))):
        more = NEW | {"code": f"M{n}", "starts_on": start, "ends_on": end}
        assert program("office").post("charters/", more).status_code == 201
    replace = cast.due("sandpiper impeller", "replace")
    assert (replace.governs, replace.missing) == ("hours", ""), "they are reached by these"
    assert due_list_holds()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"code": "S3"}, "code"),
        ({"code": "F1"}, "code"),
        ({"boat": "far-cry"}, "boat"),
        ({"starts_on": "2026-06-12"}, "starts_on"),
        ({"starts_on": "2026-06-13", "leaves_at": "08:59"}, "starts_on"),
        ({"ends_on": "2026-06-13"}, "ends_on"),
        ({"ends_on": "2028-06-13"}, "ends_on"),
        ({"ends_on": "9999-12-31"}, "ends_on"),
        ({"starts_on": "0001-01-01"}, "starts_on"),
        ({"leaves_at": "25:00"}, "leaves_at"),
        ({"leaves_at": "17:00+02:00"}, "leaves_at"),
        ({"back_at": 900}, "back_at"),
        ({"persons": 0}, "persons"),
        ({"persons": 2**80}, "persons"),
        ({"sort": "theft"}, "sort"),
        ({"skipper": "x" * 121}, "skipper"),
        ({"skipper": "\ud800"}, "skipper"),
    ],
)
def test_a_charter_that_cannot_be_is_refused_by_field(cast, program, change, field):
    answer = program("office").post("charters/", NEW | change)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert Charter.objects.count() == 9
    assert due_list_holds()


def test_the_engineer_books_nothing(cast, program):
    assert program("engineer").post("charters/", NEW).status_code == 403
    said = {"charter": "S4", "boat": "blank-page", "from_on": "2026-06-06"}
    assert program("engineer").post("charter-boats/", said).status_code == 403


def test_a_charter_ends_on_another_day_and_its_link_with_it(cast, program):
    link, _ = make_link(cast.charter["S4"], at=NOW)
    row = f"charters/{cast.charter['S4'].pk}/"
    answer = program("office").change(row, {"ends_on": "2026-06-15", "back_at": "11:30", "berth": "B1"})
    assert answer.status_code == 200, answer.content
    charter = Charter.objects.get(code="S4")
    assert (charter.ends_on, charter.back_at, charter.berth) == (date(2026, 6, 15), time(11, 30), "B1")
    before = link.ends_at
    link.refresh_from_db()
    assert link.ends_at > before
    assert due_list_holds()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"ends_on": "2026-06-07"}, "ends_on"),
        ({"ends_on": "2026-05-30"}, "ends_on"),
        ({"ends_on": "9999-12-31"}, "ends_on"),
        ({"ends_on": None}, "ends_on"),
        ({"leaves_at": "08:00"}, "leaves_at"),
        ({"back_at": "17:01"}, "ends_on"),
        ({"cancelled": False}, "cancelled"),
        ({"boat": "blank-page"}, "boat"),
        ({"starts_on": "2026-06-01"}, "starts_on"),
    ],
)
def test_a_change_that_cannot_be_is_refused_by_field_and_keeps_nothing(cast, program, change, field):
    """S3 lies between S2, back at 9:00 on 30 May, and S4, which leaves at 17:00 on 6 June."""
    row = f"charters/{cast.charter['S3'].pk}/"
    before = program("office").get(row).json()
    answer = program("office").change(row, {"berth": "C3"} | change)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert program("office").get(row).json() == before
    assert due_list_holds()


def test_a_charter_is_called_off_once_and_for_good(cast, program):
    row = f"charters/{cast.charter['S3'].pk}/"
    answer = program("office").change(row, {"cancelled": True})
    assert (answer.status_code, answer.json()["cancelled_at"]) == (200, "2026-05-28T13:00:00Z")
    assert cast.due("sandpiper gas-bottle", "swap").due_on == date(2026, 6, 6), "one charter later"
    assert due_list_holds()
    again = program("office").change(row, {"ends_on": "2026-06-05"})
    assert (again.status_code, list(wrongs(again))) == (409, ["cancelled"])
    out = program("office").change(f"charters/{cast.charter['S2'].pk}/", {"cancelled": True})
    assert (out.status_code, list(wrongs(out))) == (422, ["cancelled"])


def test_a_charter_is_given_another_boat_once_for_one_client_id(cast, program):
    said = {"charter": "S4", "boat": "blank-page", "from_on": "2026-06-06", "client_id": "c1"}
    answer = program("office").post("charter-boats/", said)
    assert answer.status_code == 422, "B1 has her then"
    assert list(wrongs(answer)) == ["boat"]
    said["boat"] = "twice-shy"
    answer = program("office").post("charter-boats/", said)
    assert answer.status_code == 201, answer.content
    assert (answer.json()["boat"], answer.json()["charter"]) == ("twice-shy", "S4")
    again = program("office").post("charter-boats/", said)
    assert (again.status_code, again.json()) == (200, answer.json())
    assert Charter.objects.get(code="S4").boat == cast.boat["twice shy"]
    had = CharterBoat.objects.standing().order_by("pk").values_list("boat__code", flat=True)
    assert list(had) == ["twice-shy"], "for all of it"
    assert due_list_holds()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"charter": "F1"}, "charter"),
        ({"boat": "far-cry"}, "boat"),
        ({"boat": "sandpiper"}, "boat"),
        ({"from_on": "2026-06-07"}, "from_on"),
        ({"from_on": "9999-12-31"}, "from_on"),
        ({"why": ["x"]}, "why"),
        ({"client_id": "x" * 65}, "client_id"),
    ],
)
def test_a_boat_that_a_charter_cannot_have_is_refused_by_field(cast, program, change, field):
    said = {"charter": "S4", "boat": "twice-shy", "from_on": "2026-06-06"} | change
    answer = program("office").post("charter-boats/", said)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert not CharterBoat.objects.exists()


def test_a_boat_of_another_base_is_given_by_who_changes_charters_there_too(cast, program):
    base = cast.boat["far cry"].terms.get().base
    theirs = make.MembershipFactory(person=cast.person["office"], base=base, role="engineer")
    said = {"charter": "S4", "boat": "far-cry", "from_on": "2026-06-06"}
    assert program("office").post("charter-boats/", said).status_code == 403
    theirs.role = "office"
    theirs.save()
    assert list(wrongs(program("office").post("charter-boats/", said))) == ["boat"], "F1 has her"
