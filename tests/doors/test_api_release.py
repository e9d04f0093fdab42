"""May she sail, holds, their rules, and releases over the API: every reason, every name, once."""

from datetime import timedelta

import pytest

from maintenance.defects.models import Defect
from maintenance.release.models import Hold, HoldRule, Release, ReleaseName
from tests.cast import NOW
from tests.doors.api import wrongs

RELEASE = {"charter": "S3", "names": [{"name": "Ana"}]}


def stands(program, **query) -> dict:
    (line,) = program().rows("may-sail/", **({"boat": "sandpiper"} | query))
    return line


@pytest.fixture
def unsafe(program):
    """An unsafe defect of Sandpiper's, and the key of its reason."""
    row = program().post("defects/", {"boat": "sandpiper", "words": "Shroud cracked"}).json()
    program().post("defect-steps/", {"defect": row["id"], "step": "graded", "grade": "unsafe"})
    (reason,) = stands(program)["reasons"]
    return row["id"], reason["key"]


def test_she_is_not_released_until_somebody_says_so_and_then_fit(program):
    line = stands(program)
    assert {name: line[name] for name in ("verdict", "charter", "leaves_on", "back_on", "on", "fell")} == {
        "verdict": "not released",
        "charter": "S3",
        "leaves_on": "2026-05-30",
        "back_on": "2026-06-06",
        "on": "2026-05-28",
        "fell": False,
    }
    answer = program().post("releases/", RELEASE | {"client_id": "r"})
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["verdict"], told["boat"], told["by_one_person"]) == ("fit", "sandpiper", False)
    assert [(n["name"], n["how"], n["confirmed"]) for n in told["names"]] == [("Ana", "looked at it", False)]
    assert program().post("releases/", RELEASE | {"client_id": "r"}).json() == told
    assert Release.objects.count() == 1
    assert (stands(program)["verdict"], stands(program)["release"]) == ("fit", told["id"])


def test_every_reason_is_told_with_a_way_out_and_the_defect_it_is(program, unsafe):
    line = stands(program)
    (reason,) = line["reasons"]
    assert (line["verdict"], reason["code"], reason["defect"]) == ("held", "unsafe", unsafe[0])
    assert "Shroud cracked" in reason["words"]
    assert "Put it right" in reason["way_out"]
    assert program().rows("may-sail/", verdict="held", base="harbour", boat="sandpiper") == [line]
    refused = program().post("releases/", RELEASE)
    assert (refused.status_code, list(wrongs(refused))) == (422, ["let_be"])
    assert "Shroud cracked" in wrongs(refused)["let_be"]


def test_a_named_decision_lets_her_go_to_a_limit_and_one_name_is_told_to_be_one(program, unsafe):
    body = RELEASE | {"let_be": [unsafe[1]]}
    assert list(wrongs(program().post("releases/", body))) == ["limits"]
    body |= {"limits": "Engine only, harbour waters"}
    assert list(wrongs(program().post("releases/", body))) == ["why"]
    told = program().post("releases/", body | {"why": "To the yard"}).json()
    assert (told["verdict"], told["by_one_person"], told["names_needed"]) == ("fit with limits", True, 2)
    assert [reason["key"] for reason in told["reasons"]] == [unsafe[1]]
    line = stands(program)
    assert (line["verdict"], line["limits"]) == ("fit with limits", ["Engine only, harbour waters"])
    assert [reason["key"] for reason in line["let_be"]] == [unsafe[1]]
    other = {"release": told["id"], "name": "Bryn", "how": "by telephone", "read_out": "Engine only"}
    assert list(wrongs(program().post("release-names/", other | {"read_out": ""}))) == ["read_out"]
    name = program().post("release-names/", other | {"client_id": "n"}).json()
    assert program().post("release-names/", other | {"client_id": "n"}).status_code == 200
    assert program().get(f"releases/{told['id']}/").json()["by_one_person"] is False
    confirms = {"release": told["id"], "name": "Bryn", "how": "confirmed", "confirms": name["id"]}
    assert program().post("release-names/", confirms).status_code == 201
    assert list(wrongs(program().post("release-names/", confirms))) == ["confirms"]
    names = program().get(f"releases/{told['id']}/").json()["names"]
    assert [(n["name"], n["confirmed"]) for n in names] == [("Ana", False), ("Bryn", True), ("Bryn", False)]
    assert ReleaseName.objects.count() == 3


def test_a_release_falls_when_something_new_holds_her(program, today_is):
    program().post("releases/", RELEASE)
    today_is.move_to(NOW + timedelta(minutes=5))
    hold = program().post("holds/", {"boat": "sandpiper", "why": "Smells of diesel"}).json()
    line = stands(program)
    assert (line["verdict"], line["fell"], line["reasons"][0]["code"]) == ("held", True, "named hold")
    lifted = program().post(f"holds/{hold['id']}/corrections/", {"why": "A loose filter"}).json()
    assert (lifted["lifted"], lifted["lifted_by"], lifted["replaces"]) == (
        "A loose filter",
        "Engineer",
        hold["id"],
    )
    assert (stands(program)["verdict"], stands(program)["fell"]) == ("not released", True)
    again = program().post(f"holds/{lifted['id']}/corrections/", {"why": "Twice"})
    assert again.status_code == 409
    assert program().rows("holds/", lifted="false") == []
    assert program().rows("holds/", lifted="true", boat="sandpiper") == [lifted]
    assert Hold.objects.count() == 2


def test_she_is_said_to_be_held_by_name_with_the_reason(program):
    body = {"charter": "S3", "names": [{"name": "Ana"}], "held": True}
    assert list(wrongs(program().post("releases/", body))) == ["why"]
    more = {"why": "Rig", "limits": "None", "let_be": ["x"], "names": [{"name": "Ana"}, {"name": "Bryn"}]}
    assert set(wrongs(program().post("releases/", body | more))) == {"limits", "let_be", "names"}
    assert program().post("releases/", body | {"why": "Rig"}).json()["verdict"] == "held"
    assert stands(program)["verdict"] == "held"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"charter": "F1"}, "charter"),
        ({"charter": "S0"}, "charter"),
        ({"names": []}, "names"),
        ({"names": [{"name": " "}]}, "names[0].name"),
        ({"names": [{"name": "Ana", "how": "by post"}]}, "names[0].how"),
        ({"names": [{"name": "Ana", "how": "by telephone"}]}, "names"),
        ({"names": [{"name": "Ana", "at": "2026-05-29T00:00:00Z"}]}, "names[0].at"),
        ({"names": [{"name": "Ana"}] * 11}, "names"),
        ({"let_be": ["unsafe:1:1"]}, "let_be"),
        ({"limits": "x" * 1001}, "limits"),
    ],
)
def test_a_release_that_cannot_be_is_refused_by_field(program, cast, changed, field):
    answer = program().post("releases/", RELEASE | changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert Release.objects.count() == 0


def test_an_alarm_nobody_looked_at_is_never_let_be(program):
    program().post("defects/", {"boat": "sandpiper", "words": "Smoke from the engine"})
    (reason,) = stands(program)["reasons"]
    assert (reason["code"], reason["can_be_let_be"]) == ("alarm", False)
    more = {"let_be": [reason["key"]], "limits": "Slowly", "why": "In a hurry"}
    assert list(wrongs(program().post("releases/", RELEASE | more))) == ["let_be"]


def test_a_charter_can_be_asked_about_and_another_bases_cannot(program):
    assert stands(program, charter="S4")["back_on"] == "2026-06-13"
    assert [line["boat"] for line in program().rows("may-sail/", charter="T2")] == ["twice-shy"]
    assert [line["boat"] for line in program().rows("may-sail/", page_size=1)] == [
        "blank-page",
        "sandpiper",
        "twice-shy",
    ]
    program("office").change(f"charters/{_charter(program, 'S4')}/", {"cancelled": True})
    for query in ({"charter": "F1"}, {"charter": "S4"}, {"charter": "\x00"}, {"boat": "far-cry"}):
        assert program().get("may-sail/", **query).status_code == 400, query
    assert program().get("may-sail/", verdict="safe").status_code == 400


def _charter(program, code: str) -> int:
    return program().rows("charters/", charter=code)[0]["id"]


def test_the_rules_are_read_with_their_source_and_changed_by_the_manager_alone(program, unsafe):
    rules = {rule["code"]: rule for rule in program().rows("hold-rules/", page_size=3)}
    assert len(rules) == 10
    rule = rules["unsafe"]
    assert (rule["on"], rule["names_needed"]) == (True, 2)
    where = f"hold-rules/{rule['id']}/"
    assert program().change(where, {"on": False}).status_code == 403
    manager = program("manager")
    assert manager.patch(where, {"on": False}).status_code == 428
    stale = manager.get(where)["ETag"]
    told = manager.change(where, {"on": False, "source": "Our insurer"}).json()
    assert (told["on"], told["source"], told["names_needed"]) == (False, "Our insurer", 2)
    assert manager.patch(where, {"on": True}, {"If-Match": stale}).status_code == 412
    assert stands(program)["reasons"] == []
    assert HoldRule.objects.count() == 1
    assert program("stranger").get(where).status_code == 404


def test_the_alarm_is_not_switched_off_and_names_are_as_many_as_are_there(program):
    rules = {rule["code"]: rule["id"] for rule in program().rows("hold-rules/", base="harbour")}
    manager = program("manager")
    assert list(wrongs(manager.change(f"hold-rules/{rules['alarm']}/", {"on": False}))) == ["on"]
    for count in (0, 4):
        answer = manager.change(f"hold-rules/{rules['unsafe']}/", {"names_needed": count})
        assert list(wrongs(answer)) == ["names_needed"]
    assert program().rows("hold-rules/", code="gear")[0]["id"] == rules["gear"]
    assert program().get("hold-rules/", cursor="Imh1bSI").status_code == 400
    assert HoldRule.objects.count() == 0


def test_another_base_sees_no_hold_and_no_release(program):
    hold = program().post("holds/", {"boat": "sandpiper", "why": "Smells", "client_id": "h"}).json()
    body = {"charter": "S3", "names": [{"name": "Ana"}], "held": True, "why": "Rig"}
    release = program().post("releases/", body).json()
    stranger = program("stranger")
    for where in (f"holds/{hold['id']}/", f"releases/{release['id']}/"):
        assert stranger.get(where).status_code == 404
    assert stranger.post(f"holds/{hold['id']}/corrections/", {"why": "x"}).status_code == 404
    named = {"release": release["id"], "name": "Me", "how": "confirmed"}
    assert list(wrongs(stranger.post("release-names/", named))) == ["release"]
    assert stranger.post("holds/", {"boat": "far-cry", "why": "x", "client_id": "h"}).status_code == 409
    assert [line["boat"] for line in stranger.rows("may-sail/")] == ["far-cry"]
    assert Defect.objects.count() == 0


def test_a_name_that_is_the_callers_own_is_told_to_be_signed_in(program):
    told = program().post("releases/", RELEASE | {"names": [{"name": "engineer"}, {"name": "Bryn"}]}).json()
    names = program().rows("release-names/", release=told["id"])
    assert [(name["name"], name["person"]) for name in names] == [("engineer", "Engineer"), ("Bryn", None)]


def test_a_release_is_taken_back_on_the_day_and_only_then(program, today_is):
    told = program().post("releases/", RELEASE).json()
    where = f"releases/{told['id']}/corrections/"
    undone = program().post(where, {"void": True, "client_id": "v"}).json()
    assert (undone["void"], stands(program)["verdict"]) == (True, "not released")
    assert program().post(where, {"void": True, "client_id": "v"}).json() == undone
    assert program().post(where, {"void": True}).status_code == 409
    late = program().post("release-names/", {"release": told["id"], "name": "Bryn"})
    assert late.status_code == 409
    again = program().post("releases/", RELEASE).json()
    today_is.move_to(NOW + timedelta(days=1))
    assert program().post(f"releases/{again['id']}/corrections/", {"void": True}).status_code == 409


def test_what_one_person_released_is_read_afterwards_by_the_manager(program, unsafe):
    more = {"let_be": [unsafe[1]], "limits": "Engine only", "why": "To the yard"}
    told = program().post("releases/", RELEASE | more).json()
    seen = {"release": told["id"], "name": "Ilda", "how": "seen afterwards"}
    assert program().post("release-names/", seen).status_code == 403
    assert program("manager").post("release-names/", seen).status_code == 201
    assert program().get(f"releases/{told['id']}/").json()["by_one_person"] is True
