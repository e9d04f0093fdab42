"""Things sent away for service, and a return's questions, over the API; all of it is described."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from drf_spectacular.validation import validate_schema

from fleet.api.docs import described
from maintenance.jobs.away import away_now
from maintenance.jobs.models import AwayStep, Job
from maintenance.servicing.models import Service
from maintenance.turnaround.questions import QUESTIONS
from tests.cast import due_list_holds
from tests.doors.api import wrongs

RAFT = "sandpiper-life-raft"
SENT = {"component": RAFT, "step": "sent away", "day": "2026-05-20", "whom": "Raft loft"}
LENT = {"component": RAFT, "step": "lent one aboard", "day": "2026-05-21", "serial": "0042"}
BACK = {
    "component": RAFT,
    "step": "back with its paper",
    "day": "2026-05-27",
    "paper": "C-7",
    "tasks": ["raft"],
    "printed": "2029-05",
}


def test_a_thing_goes_another_stands_in_and_it_comes_back_with_its_date(program, cast):
    sent = program().post("away-steps/", SENT | {"wanted_back_on": "2026-06-01"})
    assert sent.status_code == 201, sent.content
    assert (sent.json()["boat"], sent.json()["wanted_back_on"]) == ("sandpiper", "2026-06-01")
    lent = program().post("away-steps/", LENT | {"good_through": "2026-12-31"}).json()
    assert (lent["serial"], lent["good_through"], lent["whom"]) == ("0042", "2026-12-31", "")
    assert cast.due("sandpiper life-raft", "raft").due_on == date(2026, 6, 30)
    answer = program().post("away-steps/", BACK | {"client_id": "b"})
    assert answer.status_code == 201, answer.content
    back = answer.json()
    assert (back["paper"], back["day"], back["client_id"]) == ("C-7", "2026-05-28", "b")
    [done] = program().get(f"jobs/{back['job']}/").json()["services"]
    assert Service.objects.get(pk=done).done_on == date(2026, 5, 27)
    assert cast.due("sandpiper life-raft", "raft").due_on == date(2029, 5, 31)
    assert away_now([cast.part["sandpiper life-raft"].pk]) == {}
    again = program().post("away-steps/", BACK | {"client_id": "b"})
    assert (again.status_code, again.json()) == (200, back)
    assert (Job.objects.count(), AwayStep.objects.count()) == (1, 3)
    assert due_list_holds()


def test_a_step_sent_twice_is_one(program):
    for body in (SENT | {"client_id": "a"}, LENT | {"client_id": "l"}):
        first, again = (program().post("away-steps/", body) for _ in range(2))
        assert (first.status_code, again.status_code) == (201, 200)
        assert first.json() == again.json()
    assert AwayStep.objects.count() == 2


def test_what_was_said_last_is_taken_back_and_nothing_before_it(program, cast):
    sent = program().post("away-steps/", SENT).json()
    lent = program().post("away-steps/", LENT).json()
    early = program().post(f"away-steps/{sent['id']}/corrections/", {"void": True})
    assert early.status_code == 409
    assert set(away_now([cast.part["sandpiper life-raft"].pk])) == {cast.part["sandpiper life-raft"].pk}
    undone = program().post(f"away-steps/{lent['id']}/corrections/", {"void": True, "client_id": "u"})
    assert (undone.status_code, undone.json()["void"]) == (201, True)
    again = program().post(f"away-steps/{lent['id']}/corrections/", {"void": True, "client_id": "u"})
    assert (again.status_code, again.json()) == (200, undone.json())
    assert program().rows("away-steps/") == [program().get(f"away-steps/{sent['id']}/").json()]
    assert program().post(f"away-steps/{sent['id']}/corrections/", {"void": True}).status_code == 201
    assert program().rows("away-steps/") == []
    assert AwayStep.objects.count() == 4


def test_what_is_back_is_undone_by_its_job(program, cast):
    program().post("away-steps/", SENT)
    back = program().post("away-steps/", BACK).json()
    answer = program().post(f"away-steps/{back['id']}/corrections/", {"void": True})
    assert answer.status_code == 409
    assert "job" in answer.json()["detail"]
    assert program().post(f"jobs/{back['job']}/corrections/", {"void": True}).status_code == 201
    assert set(away_now([cast.part["sandpiper life-raft"].pk])) == {cast.part["sandpiper life-raft"].pk}
    assert cast.due("sandpiper life-raft", "raft").due_on == date(2026, 6, 30)
    assert due_list_holds()


@pytest.mark.parametrize(
    ("before", "body", "field"),
    [
        ((), LENT, "component"),
        ((), BACK, "component"),
        ((SENT,), SENT, "component"),
        ((), SENT | {"whom": ""}, "whom"),
        ((), SENT | {"whom": "x" * 121}, "whom"),
        ((), SENT | {"serial": "1"}, "serial"),
        ((), SENT | {"tasks": ["raft"]}, "tasks"),
        ((), SENT | {"day": "2026-05-29"}, "day"),
        ((), SENT | {"day": "0001-01-01"}, "day"),
        ((), SENT | {"wanted_back_on": "0001-01-01"}, "wanted_back_on"),
        ((), SENT | {"component": "far-cry-engine-oil"}, "component"),
        ((), SENT | {"step": "gone"}, "step"),
        ((SENT,), LENT | {"serial": ""}, "serial"),
        ((SENT,), LENT | {"good_through": "soon"}, "good_through"),
        ((SENT,), BACK | {"paper": ""}, "paper"),
        ((SENT,), BACK | {"tasks": []}, "tasks"),
        ((SENT,), BACK | {"tasks": ["rig"]}, "tasks"),
        ((SENT,), BACK | {"tasks": ["nothing"]}, "tasks[0]"),
        ((SENT,), BACK | {"printed": ""}, "printed"),
        ((SENT,), BACK | {"printed": "3/4/29"}, "printed"),
        ((SENT,), BACK | {"printed": "0000-00"}, "printed"),
        ((SENT,), BACK | {"day": "2026-05-29"}, "day"),
        ((SENT,), BACK | {"day": "1800-01-01"}, "day"),
        ((SENT,), BACK | {"whom": "Loft"}, "whom"),
    ],
)
def test_a_step_that_cannot_be_is_refused_by_field(program, before, body, field):
    for step in before:
        assert program().post("away-steps/", step).status_code == 201
    answer = program().post("away-steps/", body)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert (AwayStep.objects.count(), Job.objects.count()) == (len(before), 0)


def test_the_end_of_all_days_may_be_printed_on_a_thing(program, cast):
    program().post("away-steps/", SENT)
    assert program().post("away-steps/", BACK | {"printed": "9999-12"}).status_code == 201
    assert cast.due("sandpiper life-raft", "raft").due_on == date(9999, 12, 31)
    assert due_list_holds()


def test_the_office_and_other_bases_send_nothing_away(program):
    sent = program().post("away-steps/", SENT | {"client_id": "a"}).json()
    assert program("office").post("away-steps/", LENT).status_code == 403
    assert program("office").post(f"away-steps/{sent['id']}/corrections/", {"void": True}).status_code == 403
    assert program("office").rows("away-steps/") == [sent]
    stranger = program("stranger")
    assert stranger.get(f"away-steps/{sent['id']}/").status_code == 404
    assert stranger.post(f"away-steps/{sent['id']}/corrections/", {"void": True}).status_code == 404
    theirs = SENT | {"component": "far-cry-engine-oil", "client_id": "a"}
    assert stranger.post("away-steps/", theirs).status_code == 409
    assert AwayStep.objects.count() == 1


def test_a_client_id_of_other_work_is_not_that_of_what_comes_back(program):
    program().post("away-steps/", SENT)
    body = {"component": "sandpiper-engine-oil", "interval": "change", "done_on": "2026-05-28"}
    program().post("services/", body | {"client_id": "b"})
    assert program().post("away-steps/", BACK | {"client_id": "b"}).status_code == 409
    assert AwayStep.objects.count() == 1


def test_steps_are_found_by_what_they_are_of(program):
    sent = program().post("away-steps/", SENT).json()
    lent = program().post("away-steps/", LENT).json()
    for query, found in (
        ({"boat": "sandpiper"}, [sent, lent]),
        ({"base": "harbour"}, [sent, lent]),
        ({"component": RAFT}, [sent, lent]),
        ({"kind": "life-raft"}, [sent, lent]),
        ({"system": "engine"}, []),
        ({"step": "lent one aboard"}, [lent]),
        ({"to_day": "2026-05-20"}, [sent]),
        ({"known_at": "2026-05-28T12:59:59Z"}, []),
    ):
        assert program().rows("away-steps/", **query) == found, query


def test_steps_are_told_in_as_many_queries_for_one_as_for_many(program):
    def asked() -> int:
        with CaptureQueriesContext(connection) as said:
            assert program().get("away-steps/").status_code == 200
        return len(said)

    program().post("away-steps/", SENT)
    one = asked()
    for code in ("twice-shy-life-raft", "blank-page-life-raft", "blank-page-rigging"):
        assert program().post("away-steps/", SENT | {"component": code}).status_code == 201
    assert asked() == one


def test_a_program_can_ask_the_returns_questions_in_the_bases_words(program):
    rows = program("office").rows("questions/")
    assert [row["code"] for row in rows] == [q.code for q in QUESTIONS]
    assert all(row["asks"].endswith("?") and row["opens"] for row in rows)
    gas = next(row for row in rows if row["code"] == "gas_or_fumes_smelled")
    assert "licensed" in gas["caution"]
    assert list(program().rows("questions/", fields="code")[0]) == ["code"]
    assert list(wrongs(program().get("questions/", words="all"))) == ["words"]
    assert program().post("questions/", {}).status_code == 405
    filed = {row["code"]: True for row in rows}
    body = {"boat": "sandpiper", "day": "2026-05-28", "answers": filed}
    assert len(program().post("returns/", body).json()["followed"]["defects"]) == len(rows)


def test_the_description_is_valid_openapi_3_1_and_nothing_of_it_is_guessed_at(capfd):
    described.cache_clear()
    validate_schema(described())
    assert described()["openapi"].startswith("3.1")
    assert capfd.readouterr().err == ""


@pytest.mark.parametrize(
    "word",
    ["services", "jobs", "stock-moves", "counts", "defects", "defect-steps", "away-steps"],
)
def test_a_ledger_has_no_way_to_change_or_remove_a_row(program, word):
    paths = described()["paths"]
    ways = {m for path, methods in paths.items() if path.startswith(f"/api/{word}/") for m in methods}
    assert ways <= {"get", "post"}
    assert "post" in paths[f"/api/{word}/"]
    assert "409" in paths[f"/api/{word}/"]["post"]["responses"]
    assert program("manager").patch(f"{word}/", {}).status_code == 405
    assert program("manager").delete(f"{word}/").status_code == 405
