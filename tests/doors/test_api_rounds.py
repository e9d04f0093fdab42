"""Rounds, handovers, fittings-out and lists of gear over the API."""

from datetime import timedelta

import pytest

from maintenance.defects.models import AlarmWord
from maintenance.release.laying_up import lay_up
from maintenance.safety.models import Requirement
from maintenance.turnaround.models import Handover, Round, RoundItem, RoundLine
from maintenance.turnaround.usual_round import USUAL_ROUND
from tests.cast import NOW, TODAY, due_list_holds
from tests.doors.api import wrongs


@pytest.fixture
def items(cast):
    """Two checks of the base's round."""
    words = ("Bilge dry", "Horn")
    return [RoundItem.objects.create(base=cast.base, number=n, words=w) for n, w in enumerate(words, 1)]


def ticked(items, *states) -> list[dict]:
    return [{"item": item.pk, "state": state} for item, state in zip(items, states, strict=False)]


def test_a_base_begins_with_the_usual_checks_and_words_them_its_own_way(program, cast):
    manager = program("manager")
    body = {"base": "harbour", "words": "Horn", "function": "radio", "caution": "Loud"}
    assert program().post("round-items/", body).status_code == 403
    told = manager.post("round-items/", body).json()
    assert (told["number"], told["asks"]) == (len(USUAL_ROUND) + 1, "in order")
    assert len(program().rows("round-items/", base="harbour", page_size=5)) == told["number"]
    where = f"round-items/{told['id']}/"
    assert manager.patch(where, {"words": "Fog horn"}).status_code == 428
    changed = manager.change(where, {"words": "Fog horn", "move": "earlier"}).json()
    assert (changed["words"], changed["caution"], changed["number"]) == (
        "Fog horn",
        "Loud",
        told["number"] - 1,
    )
    assert manager.change(where, {"until_on": "2026-05-27"}).json()["until_on"] == "2026-05-27"
    assert [r["id"] for r in program().rows("round-items/", asked="false")] == [told["id"]]
    for change, field in (
        ({"function": "sails"}, "function"),
        ({"words": " "}, "words"),
        ({"asks": "seal"}, "asks"),
    ):
        assert list(wrongs(manager.change(where, change))) == [field]


def test_a_round_is_walked_in_parts_and_signed_and_what_fails_is_a_defect(program, items):
    first = program().post("rounds/", {"boat": "sandpiper", "lines": ticked(items, "fails")}).json()
    assert (first["signed_by"], [line["state"] for line in first["lines"]]) == ("", ["fails"])
    defect = program().get(f"defects/{first['lines'][0]['defect']}/").json()
    assert "Bilge dry" in defect["words"]
    early = program().post("rounds/", {"boat": "sandpiper", "signed_by": "Ana"})
    assert list(wrongs(early)) == ["lines"]
    rest = {"boat": "sandpiper", "lines": ticked(items[1:], "in order"), "signed_by": "Ana", "client_id": "r"}
    signed = program().post("rounds/", rest).json()
    assert program().post("rounds/", rest).json() == signed
    assert (signed["signed_by"], signed["first"], len(signed["lines"])) == ("Ana", first["id"], 2)
    assert program().rows("rounds/", signed="true", boat="sandpiper") == [signed]
    assert len(program().rows("round-lines/", round=first["id"], state="fails")) == 1
    late = program().post("rounds/", {"boat": "sandpiper", "lines": ticked(items, "in order")})
    assert late.status_code == 422
    back = program().post(f"rounds/{signed['id']}/corrections/", {"void": True}).json()
    assert (back["signed_by"], back["first"]) == ("", first["id"])
    assert (Round.objects.count(), RoundLine.objects.count()) == (3, 2)


def test_a_round_that_cannot_be_is_refused_by_field(program, cast, items):
    theirs = RoundItem.objects.create(base=cast.boat["far cry"].terms.get().base, number=1, words="Horn")
    for body, field in (
        ({"boat": "far-cry"}, "boat"),
        ({"lines": ticked([theirs], "in order")}, "lines[0].item"),
        ({"lines": ticked(items, "so so")}, "lines[0].state"),
        ({"lines": ticked(items[:1] * 2, "in order", "fails")}, "lines"),
        ({"charter": "F1"}, "charter"),
    ):
        answer = program().post("rounds/", {"boat": "sandpiper"} | body)
        assert answer.status_code in (400, 422), answer.content
        assert list(wrongs(answer)) == [field]
    assert Round.objects.count() == 0


def test_she_is_handed_over_once_and_what_was_told_is_frozen(program, cast):
    refused = program().post("handovers/", {"charter": "S3"})
    assert (refused.status_code, list(wrongs(refused))) == (422, ["why"])
    body = {"charter": "S3", "why": "All on the quay at once", "client_id": "h"}
    answer = program().post("handovers/", body)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["who"], told["boat"], told["release"]) == ("Engineer", "sandpiper", None)
    assert set(told["not_done"]) == {"not inspected at return", "round not signed", "not released"}
    assert told["told"]["boat"] == cast.boat["sandpiper"].name
    assert program().post("handovers/", body).json() == told
    assert program().post("handovers/", body | {"client_id": None}).status_code == 409
    assert program().post(f"handovers/{told['id']}/corrections/", {"void": True}).json()["void"] is True
    assert program().rows("handovers/") == []
    assert Handover.objects.count() == 2


def test_while_anything_holds_her_she_is_not_handed_over(program):
    program().post("holds/", {"boat": "sandpiper", "why": "Smells of diesel"})
    answer = program().post("handovers/", {"charter": "S3", "why": "In a hurry"})
    assert "Smells of diesel" in wrongs(answer)["charter"]
    for charter in ("S4", "S0", "F1"):
        assert list(wrongs(program().post("handovers/", {"charter": charter, "why": "x"}))) == ["charter"]
    assert Handover.objects.count() == 0


def test_a_fitting_out_is_signed_and_taken_back_on_the_day(program, cast, today_is):
    body = {"boat": "blank-page", "who": "Ana", "words": "Rig checked"}
    assert list(wrongs(program().post("fitting-outs/", body))) == ["signed_on"]
    lay_up(cast.boat["blank page"], TODAY, at=NOW)
    assert program().rows("may-sail/", boat="blank-page")[0]["reasons"][0]["code"] == "fitting-out"
    today_is.move_to(NOW + timedelta(minutes=5))
    told = program().post("fitting-outs/", body).json()
    assert (told["signed_on"], told["who"]) == ("2026-05-28", "Ana")
    assert program().rows("may-sail/", boat="blank-page")[0]["reasons"] == []
    where = f"fitting-outs/{told['id']}/corrections/"
    today_is.move_to(NOW + timedelta(minutes=10))
    assert program().post(where, {"void": True}).json()["void"] is True
    assert program().rows("fitting-outs/") == []
    again = program().post("fitting-outs/", body).json()
    today_is.move_to(NOW + timedelta(days=1))
    assert program().post(f"fitting-outs/{again['id']}/corrections/", {"void": True}).status_code == 409


GEAR = {"base": "harbour", "list": "coastal", "kind": "life-raft", "number": 2, "source": "The flag's code"}


def test_a_list_warns_until_a_boat_goes_by_it_and_then_holds_her(program):
    manager = program("manager")
    assert program().post("requirements/", GEAR).status_code == 403
    clause = manager.post("requirements/", GEAR).json()
    assert (clause["from_on"], clause["per"]) == ("2026-05-28", "boat")
    line = program().rows("may-sail/", boat="sandpiper")[0]
    assert (line["reasons"], any("coastal" in said for said in line["warnings"])) == ([], True)
    body = {"boat": "sandpiper", "list": "coastal", "client_id": "a"}
    adopted = manager.post("adoptions/", body).json()
    assert manager.post("adoptions/", body).json() == adopted
    assert [r["code"] for r in program().rows("may-sail/", boat="sandpiper")[0]["reasons"]] == ["gear"]
    assert list(wrongs(manager.post("adoptions/", body | {"client_id": None}))) == ["from_on"]
    assert list(wrongs(manager.post("adoptions/", {"boat": "sandpiper", "list": "ocean"}))) == ["list"]
    left = manager.post(f"adoptions/{adopted['id']}/corrections/", {"until_on": "2026-05-27"}).json()
    assert left["void"] is True
    assert program().rows("may-sail/", boat="sandpiper")[0]["reasons"] == []
    assert (
        manager.post(f"adoptions/{adopted['id']}/corrections/", {"until_on": "2026-06-30"}).status_code == 409
    )


def test_a_clause_that_counts_otherwise_from_a_day_is_a_new_row(program):
    manager = program("manager")
    clause = manager.post("requirements/", GEAR).json()
    where = f"requirements/{clause['id']}/"
    worded = manager.change(where, {"properties": "in its cradle"}).json()
    assert (worded["id"], worded["properties"]) == (clause["id"], "in its cradle")
    later = manager.change(where, {"number": 3, "on": "2026-06-15"}).json()
    assert (later["number"], later["from_on"], later["id"] != clause["id"]) == (3, "2026-06-15", True)
    assert manager.get(where).json()["until_on"] == "2026-06-14"
    ended = manager.change(f"requirements/{later['id']}/", {"until_on": "2026-12-31"}).json()
    assert (ended["id"], ended["until_on"]) == (later["id"], "2026-12-31")
    for change, field in (({"number": 0}, "number"), ({"list": " "}, "list"), ({"per": "berth"}, "per")):
        assert list(wrongs(manager.change(where, change))) == [field]
    assert Requirement.objects.count() == 2


def test_a_bases_own_word_raises_the_alarm_and_is_taken_off(program):
    manager = program("manager")
    body = {"base": "harbour", "phrase": "whistling", "language": "en"}
    assert program().post("alarm-words/", body).status_code == 403
    word = manager.post("alarm-words/", body).json()
    assert word["sort"] == "alarm"
    told = program().post("defects/", {"boat": "sandpiper", "words": "Mast is whistling"}).json()
    assert (told["alarm"], told["looked"]) == ("whistling", False)
    for more, field in (
        ({}, "phrase"),
        ({"phrase": "?"}, "phrase"),
        ({"phrase": "x y", "language": "xx"}, "language"),
    ):
        assert list(wrongs(manager.post("alarm-words/", body | more))) == [field]
    assert program("stranger").delete(f"alarm-words/{word['id']}/").status_code == 404
    assert program().delete(f"alarm-words/{word['id']}/").status_code == 403
    assert manager.delete(f"alarm-words/{word['id']}/").status_code == 204
    assert AlarmWord.objects.count() == 0
    assert due_list_holds()
