"""Grades, looks after an alarm and deferrals over the API: decided by name, once, and taken back."""

import pytest

from fleet.papers.models import Paper, PaperAt
from maintenance.defects.models import Defect
from tests.cast import NOW
from tests.doors.api import wrongs


@pytest.fixture
def report(program):
    """A report of Sandpiper's, as the API tells it."""

    def report(words="Bilge pump hums", **more):
        answer = program().post("defects/", {"boat": "sandpiper", "words": words, **more})
        assert answer.status_code == 201, answer.content
        return answer.json()

    return report


@pytest.fixture
def step(program):
    """A step of a defect, by somebody of the cast."""

    def step(defect, step, caller="engineer", **more):
        return program(caller).post("defect-steps/", {"defect": defect["id"], "step": step, **more})

    return step


@pytest.fixture
def certificate(cast):
    row = Paper.objects.create(sha256="c" * 64, mime="application/pdf", size=1)
    PaperAt.objects.create(paper=row, base=cast.base, at=NOW)
    return row.sha256


def now(program, row) -> dict:
    return program().get(f"defects/{row['id']}/").json()


def test_the_last_grade_holds_with_who_gave_it_and_what_it_touches(program, report, step):
    row = report(hull="keel")
    assert (row["hull"], row["grade"], row["graded_by"]) == ("keel", "", "")
    step(row, "graded", grade="watch", who="Bryn")
    told = step(row, "graded", grade="unsafe", function="bilge", why="It does not lift water").json()
    assert (told["grade"], told["function"], told["who"]) == ("unsafe", "bilge", "Engineer")
    assert (now(program, row)["grade"], now(program, row)["graded_by"]) == ("unsafe", "Engineer")
    for query, found in (
        ({"grade": "unsafe"}, 1),
        ({"grade": "watch"}, 0),
        ({"grade": "not graded"}, 0),
        ({"hull": "keel"}, 1),
        ({"hull": "rudder"}, 0),
    ):
        assert len(program().rows("defects/", **query)) == found, query
    assert program().get("defects/", grade="bad").status_code == 400
    back = program().post(f"defect-steps/{told['id']}/corrections/", {"void": True})
    assert back.status_code == 201
    assert now(program, row)["grade"] == "watch"


@pytest.mark.parametrize(
    ("step_", "more", "field"),
    [
        ("graded", {}, "grade"),
        ("graded", {"grade": "dreadful"}, "grade"),
        ("graded", {"grade": "watch", "opened": "structure"}, "opened"),
        ("graded", {"grade": "watch", "papers": ["c" * 64]}, "papers"),
        ("looked at", {}, "why"),
        ("looked at", {"why": "Nothing", "grade": "watch"}, "grade"),
        ("put right", {"nothing": True}, "nothing"),
        ("put right", {"opened": "the engine"}, "opened"),
        ("put right", {"papers": ["d" * 64]}, "papers[0]"),
        ("happening now", {"why": "It is"}, "why"),
        ("answered", {}, "why"),
    ],
)
def test_a_step_says_what_belongs_to_it_and_nothing_else(report, step, certificate, step_, more, field):
    answer = step(report(), step_, **more)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]


def test_an_alarm_waits_until_somebody_looked_and_again_where_it_is_happening(program, report, step):
    row = report("Smoke from the engine")
    assert (row["alarm"] != "", row["looked"]) == (True, False)
    assert [r["id"] for r in program().rows("defects/", looked="false")] == [row["id"]]
    looked = step(row, "looked at", "office", why="Steam from a hose")
    assert looked.status_code == 201, looked.content
    assert (now(program, row)["looked"], now(program, row)["stands"]) == (True, "open")
    assert program().rows("defects/", looked="false") == []
    step(row, "happening now")
    assert now(program, row)["looked"] is False
    step(row, "looked at", why="Nothing at all", nothing=True)
    told = now(program, row)
    assert (told["stands"], told["looked"]) == ("no fault found", True)
    quiet = report("The kettle is missing")
    assert quiet["looked"] is None
    assert [r["id"] for r in program().rows("defects/", alarmed="false")] == [quiet["id"]]
    assert [r["id"] for r in program().rows("defects/", alarmed="true")] == [row["id"]]


def test_grades_and_ends_are_the_workshops_and_a_look_is_everybodys(report, step):
    row = report("Smoke from the engine")
    assert step(row, "graded", "office", grade="watch").status_code == 403
    assert step(row, "put right", "office").status_code == 403
    assert step(row, "happening now", "office").status_code == 201
    assert step(row, "looked at", "office", why="Steam").status_code == 201
    assert step(row, "graded", "stranger", grade="watch").status_code == 400


def test_what_was_opened_is_kept_with_its_paper(program, report, step, certificate):
    row = report()
    told = step(row, "put right", opened="fixed gas", papers=[certificate], why="New hose").json()
    assert (told["opened"], told["papers"]) == ("fixed gas", [certificate])
    assert program().rows("defect-steps/", defect=row["id"]) == [told]
    graded = step(report(), "graded", grade="watch").json()
    late = {"papers": [certificate]}
    assert list(wrongs(program().post(f"defect-steps/{graded['id']}/corrections/", late))) == ["papers"]
    bare = step(report(), "put right").json()
    where = f"defect-steps/{bare['id']}/corrections/"
    assert program().post(where, late).json() == bare | late
    for body in ({}, late | {"void": True}):
        assert list(wrongs(program().post(where, body))) == ["void"]


def test_what_is_said_of_a_report_stays_with_it_through_its_corrections(program, report, step):
    row = report()
    graded = step(row, "graded", grade="cosmetic").json()
    later = program().post(f"defects/{row['id']}/corrections/", {"hull": "bow"}).json()
    assert (later["first"], later["grade"], later["hull"]) == (row["id"], "cosmetic", "bow")
    for asked in (row["id"], later["id"]):
        assert program().rows("defect-steps/", defect=asked) == [graded]
    assert program().rows("defects/", first=row["id"]) == [later]


def test_two_reports_of_one_thing_are_joined_both_kept_and_go_together(program, report, step):
    main, double = report(), report("Pump hums, nothing comes out")
    where = f"defects/{double['id']}/corrections/"
    assert list(wrongs(program().post(where, {"same_as": main["id"], "hull": "bow"}))) == ["same_as"]
    assert list(wrongs(program().post(where, {"same_as": double["id"]}))) == ["same_as"]
    joined = program().post(where, {"same_as": main["id"]}).json()
    assert (joined["same_as"], joined["stands"]) == (main["id"], "open")
    assert [r["id"] for r in program().rows("defects/", joined="true")] == [joined["id"]]
    step(main, "put right")
    assert now(program, joined)["stands"] == "put right"
    assert program().rows("defects/", open="true") == []
    where = f"defects/{joined['id']}/corrections/"
    assert program("office").post(where, {"same_as": None}).status_code == 403
    parted = program().post(where, {"same_as": None}).json()
    assert (parted["same_as"], parted["stands"]) == (None, "open")
    assert Defect.objects.count() == 4
