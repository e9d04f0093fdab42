"""Services and jobs over the API: what was done is kept once, moves the due list, and can be undone."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.boats.models import PrintedDate
from fleet.meters.models import Reading
from maintenance.jobs.models import Job
from maintenance.servicing.models import Service
from tests import factories as make
from tests.cast import NOW, TODAY, due_list_holds
from tests.doors.api import wrongs

OIL = {"component": "sandpiper-engine-oil", "interval": "change", "done_on": "2026-05-28"}
RAFT = {"component": "sandpiper-life-raft", "interval": "raft"}


def job(**more):
    tasks = [{"component": "sandpiper-engine-oil", "interval": "change"}]
    return {"boat": "sandpiper", "day": "2026-05-28", "tasks": tasks, **more}


def test_a_service_is_kept_with_its_dial_and_the_due_list_follows(program, cast):
    before = cast.due("sandpiper engine-oil", "change").due_on
    answer = program().post("services/", OIL | {"dial": 1200.5, "client_id": "a"})
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["boat"], told["dial"], told["counting"], told["client_id"]) == (
        "sandpiper",
        1200.5,
        False,
        None,
    )
    kept = Service.objects.get(pk=told["id"])
    assert (kept.component, kept.done_on, kept.reading.dial) == (
        cast.part["sandpiper engine-oil"],
        TODAY,
        Decimal("1200.5"),
    )
    assert kept.recorded_by == cast.person["engineer"]
    assert cast.due("sandpiper engine-oil", "change").due_on > before
    assert due_list_holds()


def test_a_service_sent_twice_is_one(program):
    first = program().post("services/", OIL, {"Idempotency-Key": "a"})
    again = program().post("services/", OIL | {"client_id": "a"})
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    assert Job.objects.count() == 1


def test_counting_from_a_day_claims_no_work(program, cast):
    body = {"component": "blank-page-rigging", "interval": "rig", "done_on": "2026-05-01", "counting": True}
    told = program().post("services/", body).json()
    assert told["counting"] is True
    assert Job.objects.get().sort == "start counting"
    assert cast.due("blank page rigging", "rig").due_on == date(2027, 5, 1)
    assert due_list_holds()


def test_a_service_taken_back_leaves_the_due_list_as_it_was(program, cast):
    before = cast.due("sandpiper engine-oil", "change").due_on
    row = program().post("services/", OIL).json()
    undone = program().post(f"services/{row['id']}/corrections/", {"void": True, "client_id": "u"})
    assert undone.status_code == 201
    assert (undone.json()["void"], undone.json()["replaces"]) == (True, row["id"])
    again = program().post(f"services/{row['id']}/corrections/", {"void": True, "client_id": "u"})
    assert (again.status_code, again.json()) == (200, undone.json())
    other = program().post(f"services/{row['id']}/corrections/", {"void": True})
    assert other.status_code == 409
    assert str(undone.json()["id"]) in other.json()["detail"]
    assert cast.due("sandpiper engine-oil", "change").due_on == before
    assert due_list_holds()


def test_a_correction_says_void(program):
    row = program().post("services/", OIL).json()
    assert wrongs(program().post(f"services/{row['id']}/corrections/", {"void": False})) == {
        "void": "wanted true"
    }
    assert Service.objects.filter(replaces=row["id"]).count() == 0


def test_the_ledger_is_read_as_it_was_known(program, today_is):
    row = program().post("services/", OIL).json()
    today_is.move_to(NOW + timedelta(hours=1))
    program().post(f"services/{row['id']}/corrections/", {"void": True})
    ids = [r["id"] for r in program().rows("services/")]
    then = [r["id"] for r in program().rows("services/", known_at="2026-05-28T13:30:00Z")]
    assert row["id"] not in ids
    assert row["id"] in then


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"component": "far-cry-engine-oil"}, "component"),
        ({"component": "a\x00b"}, "component"),
        ({"component": 7}, "component"),
        ({"interval": "nothing"}, "interval"),
        ({"interval": "rig"}, "interval"),
        ({"done_on": "2026-05-29"}, "done_on"),
        ({"done_on": "0001-01-01"}, "done_on"),
        ({"done_on": "9999-12-31"}, "done_on"),
        ({"done_on": "28.5.2026"}, "done_on"),
        ({"dial": "1e99"}, "dial"),
        ({"dial": -1}, "dial"),
        ({"dial": 10**30}, "dial"),
        ({"dial": 1200, "counting": True}, "dial"),
        ({"component": "sandpiper-rigging", "interval": "rig", "dial": 7}, "dial"),
        ({"counting": "perhaps"}, "counting"),
        ({"client_id": "\ud800"}, "client_id"),
        ({"client_id": "x" * 65}, "client_id"),
        ({"hours": 12}, "hours"),
    ],
)
def test_a_service_that_cannot_be_is_refused_by_field(program, changed, field):
    before = Service.objects.count()
    answer = program().post("services/", OIL | changed)
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert (Service.objects.count(), Job.objects.count()) == (before, 0)


def test_a_task_recorded_for_the_day_already_is_said(program):
    program().post("services/", OIL)
    assert "already" in wrongs(program().post("services/", OIL))["interval"]


def test_services_are_found_by_what_they_are_of(program):
    rows = program().rows("services/")
    assert {row["boat"] for row in program().rows("services/", boat="twice-shy")} == {"twice-shy"}
    for name, value, holds in (
        ("component", "sandpiper-impeller", lambda r: r["component"] == "sandpiper-impeller"),
        ("kind", "impeller", lambda r: r["component"] == "sandpiper-impeller"),
        ("system", "gas", lambda r: r["component"] == "sandpiper-gas-bottle"),
        ("interval", "replace", lambda r: r["interval"] == "replace"),
        ("from_day", "2026-05-02", lambda r: r["done_on"] >= "2026-05-02"),
        ("base", "harbour", lambda r: True),
        ("counting", "false", lambda r: True),
    ):
        found = program().rows("services/", **{name: value})
        assert found == [row for row in rows if holds(row)]
        assert found
    for query in ({"boat": "far-cry"}, {"base": "elsewhere"}):
        assert program().get("services/", **query).status_code == 400


def test_the_office_reads_and_records_no_work(program, cast):
    row = program().post("services/", OIL).json()
    assert program("office").get(f"services/{row['id']}/").json() == row
    for where, body in (
        ("services/", OIL),
        (f"services/{row['id']}/corrections/", {"void": True}),
        ("jobs/", job()),
    ):
        assert program("office").post(where, body).status_code == 403
    assert Job.objects.count() == 1


def test_another_base_sees_and_touches_nothing(program):
    service = program().post("services/", OIL | {"client_id": "a"}).json()
    kept = Job.objects.get()
    stranger = program("stranger")
    for where in (f"services/{service['id']}", f"jobs/{kept.pk}"):
        assert stranger.get(f"{where}/").status_code == 404
        assert stranger.post(f"{where}/corrections/", {"void": True}).status_code == 404
    theirs = {"component": "far-cry-engine-oil", "interval": "change", "done_on": "2026-05-28"}
    assert stranger.post("services/", theirs | {"client_id": "a"}).status_code == 409
    tasks = [{"component": "far-cry-engine-oil", "interval": "change"}]
    body = {"boat": "far-cry", "day": "2026-05-28", "tasks": tasks, "client_id": "a"}
    assert stranger.post("jobs/", body).status_code == 409
    assert Job.objects.count() == 1


def test_a_client_id_of_work_with_several_tasks_is_no_services(program):
    tasks = [{"component": "sandpiper-impeller", "interval": i} for i in ("look", "replace")]
    program().post("jobs/", job(tasks=tasks, client_id="a"))
    assert program().post("services/", OIL | {"client_id": "a"}).status_code == 409


def test_a_job_keeps_tasks_dials_spares_and_printed_dates_together(program, cast):
    body = job(
        tasks=[{"component": "sandpiper-engine-oil", "interval": "change"}, RAFT],
        dials=[{"meter": "main", "dial": 1201}],
        used=[{"spare": "oil", "quantity": 4.5}],
        printed=[{"component": "sandpiper-life-raft", "as_written": "2029-06"}],
        minutes=90,
        who="Ana",
        client_id="a",
    )
    answer = program().post("jobs/", body)
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["sort"], told["state"], told["minutes"], told["who"]) == ("service", "done", 90, "Ana")
    assert [len(told[n]) for n in ("services", "readings", "moves", "printed_dates")] == [2, 1, 1, 1]
    assert Reading.objects.get(pk=told["readings"][0]).dial == 1201
    assert PrintedDate.objects.get(pk=told["printed_dates"][0]).good_through == date(2029, 6, 30)
    [move] = program().rows("stock-moves/", why="used")
    assert (move["id"], move["spare"], move["quantity"]) == (told["moves"][0], "oil", 4.5)
    assert told["followed"]["moved"]
    assert cast.due("sandpiper life-raft", "raft").due_on == date(2029, 6, 30)
    assert program().post("jobs/", body).json() == told
    assert program().get(f"jobs/{told['id']}/").json() == told
    assert due_list_holds()


def test_counting_a_whole_boat_from_a_day_is_one_job(program, cast):
    tasks = [
        {"component": "blank-page-engine-oil", "interval": "change"},
        {"component": "blank-page-rigging", "interval": "rig"},
    ]
    body = {"boat": "blank-page", "day": "2026-05-01", "sort": "start counting", "tasks": tasks}
    told = program().post("jobs/", body).json()
    assert told["sort"] == "start counting"
    assert Service.objects.filter(pk__in=told["services"], counting=True).count() == 2
    assert wrongs(program().post("jobs/", body | {"minutes": 5})).keys() == {"minutes"}
    assert due_list_holds()


def test_a_job_is_taken_back_whole_on_its_day_and_not_after(program, cast, today_is):
    before = cast.due("sandpiper engine-oil", "change").due_on
    first = program().post("jobs/", job(used=[{"spare": "oil", "quantity": 1}])).json()
    undone = program().post(f"jobs/{first['id']}/corrections/", {"void": True})
    assert (undone.status_code, undone.json()["state"]) == (201, "taken back")
    assert program().post(f"jobs/{first['id']}/corrections/", {"void": True}).status_code == 200
    assert cast.due("sandpiper engine-oil", "change").due_on == before
    assert program().rows("stock-moves/", why="used") == []
    assert due_list_holds()
    late = program().post("jobs/", job()).json()
    today_is.shift(timedelta(days=1))
    answer = program().post(f"jobs/{late['id']}/corrections/", {"void": True})
    assert answer.status_code == 409
    assert Job.objects.get(pk=late["id"]).state == "done"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"boat": "far-cry"}, "boat"),
        ({"day": "2026-05-29"}, "day"),
        ({"day": "1899-12-31"}, "day"),
        ({"tasks": []}, "tasks"),
        ({"tasks": [{"component": "far-cry-engine-oil", "interval": "change"}]}, "tasks[0].component"),
        ({"tasks": [{"component": "twice-shy-life-raft", "interval": "raft"}]}, "day"),
        ({"tasks": [RAFT, RAFT]}, "tasks"),
        ({"tasks": "all"}, "tasks"),
        ({"dials": [{"meter": "port", "dial": 7}]}, "dials"),
        ({"dials": [{"meter": "main", "dial": "much"}]}, "dials[0].dial"),
        ({"dials": [{"meter": "main", "dial": 1}, {"meter": "main", "dial": 2}]}, "dials"),
        ({"used": [{"spare": "oil", "quantity": 0}]}, "used[0].quantity"),
        ({"used": [{"spare": "gold", "quantity": 1}]}, "used[0].spare"),
        ({"printed": [RAFT | {"as_written": "2029-06"}]}, "printed[0].interval"),
        ({"printed": [{"component": "twice-shy-life-raft", "as_written": "2029-06"}]}, "printed"),
        (
            {"printed": [{"component": "sandpiper-engine-oil", "as_written": "3/4/29"}]},
            "printed[0].as_written",
        ),
        ({"minutes": 0}, "minutes"),
        ({"minutes": 10**400}, "minutes"),
        ({"minutes": 1.5}, "minutes"),
        ({"who": "\x00"}, "who"),
        ({"sort": "hope"}, "sort"),
    ],
)
def test_a_job_that_cannot_be_is_refused_by_field(program, changed, field):
    answer = program().post("jobs/", job(**changed))
    assert answer.status_code in (400, 422), answer.content
    assert list(wrongs(answer)) == [field]
    assert Job.objects.count() == 0


def test_jobs_are_told_in_as_many_queries_for_one_as_for_many(program):
    def asked() -> int:
        with CaptureQueriesContext(connection) as said:
            assert program().get("jobs/").status_code == 200
            assert program().get("services/").status_code == 200
        return len(said)

    program().post("jobs/", job(dials=[{"meter": "main", "dial": 1200}]))
    one = asked()
    for day in range(1, 9):
        body = job(day=f"2026-05-1{day}", used=[{"spare": "oil", "quantity": 1}])
        assert program().post("jobs/", body).status_code == 201
    assert asked() == one


def test_jobs_are_found_by_boat_sort_state_and_day(program):
    first = program().post("jobs/", job()).json()
    program().post(f"jobs/{first['id']}/corrections/", {"void": True})
    program().post("jobs/", job(day="2026-05-27"))
    for query, count in (
        ({"boat": "sandpiper"}, 2),
        ({"base": "harbour"}, 2),
        ({"state": "taken back"}, 1),
        ({"sort": "start counting"}, 0),
        ({"day": "2026-05-27"}, 1),
        ({"known_at": "2026-05-28T12:59:59Z"}, 0),
    ):
        assert len(program().rows("jobs/", **query)) == count, query


def test_a_part_that_went_to_another_boat_is_served_where_it_was(program, cast):
    part = make.ComponentFactory(code="spare-raft", kind=cast.interval["raft"].kind)
    make.FittingFactory(
        component=part, boat=cast.boat["sandpiper"], fitted_on=date(2026, 1, 1), removed_on=date(2026, 5, 1)
    )
    make.FittingFactory(component=part, boat=cast.boat["twice shy"], fitted_on=date(2026, 5, 1))
    body = {"component": "spare-raft", "interval": "raft", "done_on": "2026-04-01"}
    told = program().post("services/", body).json()
    assert told["boat"] == "twice-shy"
    assert Job.objects.get().boat == cast.boat["sandpiper"]
    assert due_list_holds()
