"""Call-outs over the API: promised, gone, closed with what was put right; the clock; a part taken."""

from datetime import timedelta

import pytest

from maintenance.jobs.models import CallOut, CallOutStep, ContractClock, PartTaken
from maintenance.spares.models import StockMove
from tests.cast import NOW, due_list_holds
from tests.doors.api import wrongs

CALL = {"boat": "sandpiper", "where": "Long cove", "words": "No water at the taps", "charter": "S2"}


@pytest.fixture
def call(program):
    answer = program("office").post("call-outs/", CALL | {"client_id": "c"})
    assert answer.status_code == 201, answer.content
    return answer.json()


def step(program, call, step, caller="office", **more):
    return program(caller).post("call-out-steps/", {"call_out": call["id"], "step": step, **more})


def test_a_call_is_taken_once_with_its_clock_and_what_is_wrong(program, call):
    assert (call["hours"], call["told_at"], call["last_step"]) == (24, "2026-05-28T13:00:00Z", "")
    assert call["runs_out_at"] == "2026-05-29T13:00:00Z"
    (defect,) = call["defects"]
    assert program().get(f"defects/{defect}/").json()["words"] == CALL["words"]
    assert program("office").post("call-outs/", CALL | {"client_id": "c"}).json() == call
    assert CallOut.objects.count() == 1


def test_it_is_promised_gone_to_and_closed_with_what_was_put_right(program, call):
    assert list(wrongs(step(program, call, "promised"))) == ["promised_at"]
    promised = {"promised_at": "2026-05-28T17:00:00Z", "who": "Ana", "takes": "A pump"}
    assert step(program, call, "promised", **promised).status_code == 201
    step(program, call, "there", "engineer")
    told = program().get(f"call-outs/{call['id']}/").json()
    assert (told["last_step"], told["promised_at"]) == ("there", "2026-05-28T17:00:00Z")
    used = [{"spare": "impeller kit", "quantity": 1}]
    body = {"put_right": call["defects"], "used": used, "words": "New pump", "client_id": "d"}
    done = step(program, call, "done", "engineer", **body)
    assert done.status_code == 201, done.content
    assert step(program, call, "done", "engineer", **body).json() == done.json()
    assert program().get(f"defects/{call['defects'][0]}/").json()["stands"] == "put right"
    assert StockMove.objects.filter(why="used").count() == 1
    assert program().rows("call-outs/", open="true") == []
    assert [row["id"] for row in program().rows("call-outs/", open="false")] == [call["id"]]
    assert step(program, call, "there").status_code == 409
    assert due_list_holds()


def test_the_last_step_is_taken_back_on_the_day_and_no_other(program, call, today_is):
    first = step(program, call, "on the way").json()
    last = step(program, call, "there").json()
    where = "call-out-steps/{}/corrections/"
    assert program().post(where.format(first["id"]), {"void": True}).status_code == 409
    assert program().post(where.format(last["id"]), {"void": True}).json()["void"] is True
    assert program().get(f"call-outs/{call['id']}/").json()["last_step"] == "on the way"
    today_is.move_to(NOW + timedelta(days=1))
    assert program().post(where.format(first["id"]), {"void": True}).status_code == 409
    assert CallOutStep.objects.count() == 3


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"boat": "far-cry"}, "boat"),
        ({"where": " "}, "where"),
        ({"charter": "T1"}, "charter"),
        ({"charter": "S3"}, "charter"),
        ({"told_at": "2026-05-28T14:00:00Z"}, "told_at"),
        ({"words": ""}, "defects"),
        ({"defects": [999_999]}, "defects[0]"),
    ],
)
def test_a_call_that_cannot_be_is_refused_by_field(program, cast, changed, field):
    answer = program().post("call-outs/", CALL | changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert CallOut.objects.count() == 0


@pytest.mark.parametrize(
    ("step_", "more", "field"),
    [
        ("there", {"promised_at": "2026-05-28T17:00:00Z"}, "promised_at"),
        ("there", {"used": [{"spare": "oil", "quantity": 1}]}, "used"),
        ("done", {"takes": "A pump"}, "takes"),
        ("promised", {"promised_at": "2027-05-28T17:00:00Z"}, "promised_at"),
        ("done", {"put_right": [999_999]}, "put_right[0]"),
        ("there", {"who": " "}, "who"),
    ],
)
def test_a_step_says_what_belongs_to_it_and_nothing_else(program, call, step_, more, field):
    answer = step(program, call, step_, **more)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert CallOutStep.objects.count() == 0


def test_what_is_not_of_the_call_out_is_not_ended_by_it(program, call):
    other = program().post("defects/", {"boat": "sandpiper", "words": "Other"}).json()
    assert list(wrongs(step(program, call, "done", put_right=[other["id"]]))) == ["put_right"]
    assert CallOutStep.objects.count() == 0


def test_the_clock_is_the_published_one_until_the_manager_sets_the_bases_own(program, call):
    (clock,) = program().rows("contract-clocks/", base="harbour")
    assert (clock["own"], [(t["over_days"], t["hours"]) for t in clock["terms"]]) == (
        False,
        [(0, 24), (7, 48), (14, 72)],
    )
    where = f"contract-clocks/{clock['id']}/"
    body = {"terms": [{"over_days": 0, "hours": 48}]}
    assert program().change(where, body).status_code == 403
    assert program("manager").patch(where, body).status_code == 428
    told = program("manager").change(where, body).json()
    assert (told["own"], told["terms"]) == (True, body["terms"])
    assert program().get(f"call-outs/{call['id']}/").json()["hours"] == 24
    for terms, field in (
        ([{"over_days": 7, "hours": 48}], "terms"),
        ([{"over_days": 0, "hours": 48}] * 2, "terms"),
        ([{"over_days": 0}], "terms[0].hours"),
        ([{"over_days": 0, "hours": 0}], "terms[0].hours"),
    ):
        assert list(wrongs(program("manager").change(where, {"terms": terms}))) == [field]
    assert program("manager").change(where, {"terms": []}).json() == clock
    assert ContractClock.objects.count() == 0
    assert program("stranger").get(where).status_code == 404


TAKE = {"component": "sandpiper-rigging", "to_boat": "twice-shy", "who": "Ana"}


def test_a_part_is_taken_with_what_the_donor_lacks_and_undone_whole(program, cast):
    broken = program().post("defects/", {"boat": "twice-shy", "words": "Shroud gone"}).json()
    answer = program().post("parts-taken/", TAKE | {"settles": broken["id"], "client_id": "p"})
    assert answer.status_code == 201, answer.content
    told = answer.json()
    again = program().post("parts-taken/", TAKE | {"settles": broken["id"], "client_id": "p"})
    assert (again.status_code, again.json()) == (200, told)
    assert program().get("components/", component="sandpiper-rigging").json()["results"][0]["boat"] == (
        "twice-shy"
    )
    lacks = program().get(f"defects/{told['lacks']}/").json()
    assert (lacks["boat"], lacks["graded_by"], lacks["grade"] != "") == ("sandpiper", "Ana", True)
    assert program().get(f"defects/{broken['id']}/").json()["stands"] == "put right"
    assert [row["id"] for row in program().rows("parts-taken/", boat="sandpiper")] == [told["id"]]
    undone = program().post(f"parts-taken/{told['id']}/corrections/", {"void": True})
    assert (undone.status_code, undone.json()["void"]) == (201, True)
    assert program().get(f"defects/{broken['id']}/").json()["stands"] == "open"
    assert due_list_holds()


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"component": "far-cry-engine-oil"}, "component"),
        ({"to_boat": "far-cry"}, "to_boat"),
        ({"to_boat": "sandpiper"}, "component"),
        ({"grade": "dreadful"}, "grade"),
        ({"who": " "}, "who"),
        ({"broken": "twice-shy-life-raft"}, "component"),
        ({"settles": 999_999}, "settles"),
    ],
)
def test_a_part_that_cannot_be_taken_is_refused_by_field(program, cast, changed, field):
    answer = program().post("parts-taken/", TAKE | changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert PartTaken.objects.count() == 0


def test_another_base_sees_no_call_out(program, call):
    stranger = program("stranger")
    assert stranger.rows("call-outs/") == []
    assert stranger.get(f"call-outs/{call['id']}/").status_code == 404
    assert list(wrongs(step(program, call, "there", "stranger"))) == ["call_out"]
