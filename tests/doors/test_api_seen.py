"""Over the API: that a report or a return was seen, what is odd about how it came, another boat for it."""

from datetime import timedelta

import pytest

from fleet.charters.links import make_link
from maintenance.defects.models import Defect, DefectStep
from maintenance.turnaround.actions import Report
from maintenance.turnaround.by_link import Told
from maintenance.turnaround.by_phone import Kept, Odd, Photo, report_by_phone, return_by_phone
from maintenance.turnaround.seeing import see_return
from tests.cast import NOW, TODAY
from tests.doors.api import wrongs

NOW_ISO = "2026-05-28T13:00:00Z"


@pytest.fixture
def link(cast):
    return make_link(cast.charter["S2"], at=NOW - timedelta(days=3))[0]


@pytest.fixture
def report(cast, link):
    photos = (Photo("a" * 32, 100), Photo("b" * 32, 200))
    kept = Kept("c" * 32, NOW, NOW, photos, (Odd.WRONG_BOAT,))
    return report_by_phone(link, cast.boat["sandpiper"], Told(words="Pump hums"), kept, at=NOW)


def now(program, row) -> dict:
    return program().get(f"defects/{row.pk}/").json()


def test_a_report_is_seen_by_a_call_once_and_its_row_says_when(program, report):
    assert now(program, report)["seen_at"] is None
    body = {"defect": report.pk, "step": "seen", "client_id": "s"}
    step = program("office").post("defect-steps/", body)
    assert step.status_code == 201, step.content
    assert (step.json()["step"], step.json()["who"]) == ("seen", "Office")
    assert program("office").post("defect-steps/", body).status_code == 200
    again = program().post("defect-steps/", {"defect": report.pk, "step": "seen"})
    assert again.status_code == 409
    assert str(step.json()["id"]) in again.json()["detail"]
    assert now(program, report)["seen_at"] == NOW_ISO
    assert [row["id"] for row in program().rows("defect-steps/", step="seen")] == [step.json()["id"]]


def test_that_it_was_seen_can_be_taken_back(program, report):
    step = program().post("defect-steps/", {"defect": report.pk, "step": "seen"}).json()
    back = program("office").post(f"defect-steps/{step['id']}/corrections/", {"void": True})
    assert back.status_code == 201, back.content
    assert now(program, report)["seen_at"] is None


@pytest.mark.parametrize(
    ("more", "field"),
    [({"why": "Read"}, "why"), ({"grade": "watch"}, "grade"), ({"papers": ["c" * 64]}, "papers")],
)
def test_seen_says_nothing_else(program, report, more, field):
    answer = program().post("defect-steps/", {"defect": report.pk, "step": "seen"} | more)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert not DefectStep.objects.exists()


def test_what_is_odd_and_the_photos_to_come_stand_on_the_row(program, report):
    told = now(program, report)
    assert (told["odd"], told["photos_to_come"], told["papers"]) == ([Odd.WRONG_BOAT.value], 2, [])
    own = program().post("defects/", {"boat": "sandpiper", "words": "Lamp out"}).json()
    assert (own["odd"], own["photos_to_come"], own["seen_at"]) == ([], 0, None)


def test_a_return_says_when_it_was_seen(program, cast, link):
    kept = Kept("d" * 32, NOW, NOW)
    report = Report(filed_by="skipper", day=TODAY)
    filed = return_by_phone(link, cast.boat["sandpiper"], report, kept, at=NOW)
    assert program().get(f"returns/{filed.pk}/").json()["seen_at"] is None
    see_return(filed, who="Tome", at=NOW)
    assert program().get(f"returns/{filed.pk}/").json()["seen_at"] == NOW_ISO


def test_a_report_on_the_wrong_boat_is_corrected_to_the_right_one_and_taken_back(program, report):
    where = f"defects/{report.pk}/corrections/"
    moved = program().post(where, {"boat": "blank-page"})
    assert moved.status_code == 201, moved.content
    told = moved.json()
    assert (told["boat"], told["words"], told["replaces"]) == ("blank-page", "Pump hums", report.pk)
    assert [row["id"] for row in program().rows("defects/", boat="sandpiper")] == []
    back = program().post(f"defects/{told['id']}/corrections/", {"void": True}).json()
    assert (back["boat"], back["first"]) == ("sandpiper", report.pk)


@pytest.mark.parametrize(
    ("role", "body", "code", "field"),
    [
        ("office", {"boat": "blank-page"}, 403, None),
        ("engineer", {"boat": "sandpiper"}, 409, None),
        ("engineer", {"boat": "far-cry"}, 400, "boat"),
        ("engineer", {"boat": "blank-page", "works": "no"}, 400, "boat"),
    ],
)
def test_another_boat_is_given_alone_by_who_may_judge_and_is_one_of_ours(
    program, report, role, body, code, field
):
    answer = program(role).post(f"defects/{report.pk}/corrections/", body)
    assert answer.status_code == code, answer.content
    if field:
        assert list(wrongs(answer)) == [field]
    assert Defect.objects.count() == 1
