"""Deferrals over the API: what waits, until when, with which limit; extended once, and taken back."""

import pytest

from maintenance.defects.models import Deferral
from tests.doors.api import wrongs


@pytest.fixture
def report(program):
    """A report of Sandpiper's, as the API tells it."""

    def report(words="Bilge pump hums"):
        return program().post("defects/", {"boat": "sandpiper", "words": words}).json()

    return report


@pytest.fixture
def step(program):
    """A step of a defect, by the engineer."""

    def step(defect, step, **more):
        return program().post("defect-steps/", {"defect": defect["id"], "step": step, **more})

    return step


def now(program, row) -> dict:
    return program().get(f"defects/{row['id']}/").json()


@pytest.fixture
def graded(report, step):
    def graded(grade="limits use", **more):
        row = report(**more)
        step(row, "graded", grade=grade)
        return row

    return graded


LIMIT = {"until_on": "2026-06-30", "limit_text": "No more than 15 knots"}


def test_a_deferral_waits_with_its_limit_and_is_taken_back(program, graded):
    row = graded()
    body = {"defect": row["id"], "client_id": "w", "who": "Ana", **LIMIT}
    answer = program().post("deferrals/", body)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["who"], told["decided_on"], told["limit_text"]) == ("Ana", "2026-05-28", LIMIT["limit_text"])
    again = program().post("deferrals/", body)
    assert (again.status_code, again.json()) == (200, told)
    defect = now(program, row)
    assert (defect["deferral"], defect["deferred_until"], defect["stands"]) == (
        told["id"],
        "2026-06-30",
        "open",
    )
    assert program().post("deferrals/", body | {"client_id": None}).status_code == 422
    assert program().rows("deferrals/", in_force="true", boat="sandpiper") == [told]
    assert program().post(f"deferrals/{told['id']}/corrections/", {"void": True}).status_code == 201
    assert now(program, row)["deferral"] is None
    assert program().rows("deferrals/") == []


def test_a_deferral_is_extended_once_with_a_reason_and_keeps_what_was_told(program, graded):
    row = graded()
    first = program().post("deferrals/", {"defect": row["id"], **LIMIT}).json()
    body = {"extends": first["id"], "until_on": "2026-07-31"}
    assert list(wrongs(program().post("deferrals/", body))) == ["why"]
    told = {"limit_text": "None", "dangerous": True}
    assert set(wrongs(program().post("deferrals/", body | told))) == set(told)
    longer = program().post("deferrals/", body | {"why": "The part comes in July"}).json()
    assert (longer["extends"], longer["limit_text"]) == (first["id"], LIMIT["limit_text"])
    assert (now(program, row)["deferral"], now(program, row)["deferred_until"]) == (
        longer["id"],
        "2026-07-31",
    )
    assert program().rows("deferrals/", in_force="true") == [longer]
    assert program().rows("deferrals/", in_force="false") == [first]
    again = program().post("deferrals/", {"extends": longer["id"], "until_on": "2026-08-31", "why": "Late"})
    assert again.status_code == 422
    assert Deferral.objects.count() == 2


@pytest.mark.parametrize(
    ("grade", "body", "field"),
    [
        ("", LIMIT, "defect"),
        ("unsafe", LIMIT, "defect"),
        ("limits use", {"until_on": "2026-06-30"}, "limit_text"),
        ("limits use", {"limit_text": "Slowly"}, "until_on"),
        ("limits use", LIMIT | {"until_on": "2026-05-27"}, "until_on"),
        ("limits use", LIMIT | {"until_on": "9999-12-31"}, "until_on"),
        ("limits use", LIMIT | {"dangerous": True}, "made_inoperative"),
        ("limits use", LIMIT | {"max_charters": 100}, "max_charters"),
        ("limits use", LIMIT | {"max_charters": -1}, "max_charters"),
        ("limits use", LIMIT | {"who": " "}, "who"),
        ("limits use", LIMIT | {"extends": 999_999}, "extends"),
        ("limits use", LIMIT | {"defect": 999_999}, "defect"),
    ],
)
def test_a_deferral_that_cannot_be_is_refused_by_field(program, report, graded, grade, body, field):
    row = graded(grade) if grade else report()
    answer = program().post("deferrals/", {"defect": row["id"]} | body)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert Deferral.objects.count() == 0


def test_a_deferral_is_of_a_defect_or_of_what_it_extends(program, graded):
    first = program().post("deferrals/", {"defect": graded()["id"], **LIMIT}).json()
    both = {"defect": first["defect"], "extends": first["id"], "until_on": "2026-07-31", "why": "Late"}
    for body in (both, {"until_on": "2026-07-31"}):
        assert list(wrongs(program().post("deferrals/", body))) == ["defect"]


def test_no_more_wait_together_than_the_base_lets_wait(program, graded):
    base = program("manager").rows("bases/")[0]
    where = f"bases/{base['id']}/"
    assert list(wrongs(program("manager").change(where, {"deferred_at_once": 100}))) == ["deferred_at_once"]
    told = program("manager").change(where, {"deferred_at_once": 1}).json()
    assert (base["deferred_at_once"], told["deferred_at_once"]) == (5, 1)
    bodies = [{"defect": graded("watch", words=words)["id"], "at_layup": True} for words in ("A", "B")]
    assert [program().post("deferrals/", body).status_code for body in bodies] == [201, 422]


def test_another_base_neither_sees_nor_takes_back_what_waits(program, graded):
    told = program().post("deferrals/", {"defect": graded()["id"], **LIMIT, "client_id": "w"}).json()
    stranger = program("stranger")
    assert stranger.rows("deferrals/") == []
    assert stranger.get(f"deferrals/{told['id']}/").status_code == 404
    assert stranger.post(f"deferrals/{told['id']}/corrections/", {"void": True}).status_code == 404
    body = {"extends": told["id"], "until_on": "2026-07-31", "why": "Late"}
    assert list(wrongs(stranger.post("deferrals/", body))) == ["extends"]
