"""Dates printed on things, read over the API: what could mean several days is asked about."""

from datetime import date

import pytest

from fleet.boats.models import PrintedDate
from fleet.papers.actions import keep_paper
from fleet.papers.content import Clean
from tests import factories as make
from tests.cast import NOW, due_list_holds
from tests.doors.api import wrongs

RAFT = {"component": "sandpiper-life-raft", "as_written": "15 Jun 2029"}


def test_a_printed_date_moves_the_due_day_and_is_taken_back(cast, program):
    engineer = program("engineer")
    answer = engineer.post("printed-dates/", RAFT | {"client_id": "d1"})
    assert answer.status_code == 201, answer.content
    told = answer.json()
    assert (told["good_through"], told["what"], told["state"]) == ("2029-06-15", "expiry", "read")
    assert cast.due("sandpiper life-raft", "raft").due_on == date(2029, 6, 15)
    assert engineer.post("printed-dates/", RAFT | {"client_id": "d1"}).status_code == 200
    undone = engineer.post(f"printed-dates/{told['id']}/corrections/", {"void": True, "client_id": "d2"})
    assert (undone.status_code, undone.json()["good_through"]) == (201, "2026-06-30")
    again = engineer.post(f"printed-dates/{told['id']}/corrections/", {"void": True, "client_id": "d2"})
    assert (again.status_code, again.json()) == (200, undone.json())
    assert cast.due("sandpiper life-raft", "raft").due_on == date(2026, 6, 30)
    assert due_list_holds()


def test_what_could_mean_several_days_is_asked_about_and_never_guessed(cast, program):
    engineer = program("engineer")
    for written, days in (("03/04/2029", ("2029-04-03", "2029-03-04")), ("06/2029", ("2029-06-30",))):
        answer = engineer.post("printed-dates/", RAFT | {"as_written": written})
        assert (answer.status_code, list(wrongs(answer))) == (400, ["good_through"])
        assert all(day in wrongs(answer)["good_through"] for day in days)
        for day in days:
            chosen = engineer.post("printed-dates/", RAFT | {"as_written": written, "good_through": day})
            assert (chosen.status_code, chosen.json()["good_through"]) == (201, day)
    assert due_list_holds()


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"component": "far-cry-engine-oil"}, "component"),
        ({"as_written": "soon"}, "as_written"),
        ({"as_written": ""}, "as_written"),
        ({"as_written": "0001-01-01"}, "as_written"),
        ({"as_written": "9999-12-31"}, "as_written"),
        ({"as_written": "03/04/2029", "good_through": "2029-05-03"}, "good_through"),
        ({"good_through": "9999-12-31"}, "good_through"),
        ({"state": "illegible", "good_through": "2029-06-15"}, "good_through"),
        ({"state": "worn"}, "state"),
        ({"what": "x" * 41}, "what"),
        ({"paper": "0" * 64}, "paper"),
        ({"paper": {"sha256": "0"}}, "paper"),
    ],
)
def test_a_printed_date_that_cannot_be_is_refused_by_field(cast, program, change, field):
    before = PrintedDate.objects.count()
    answer = program("engineer").post("printed-dates/", RAFT | change)
    assert answer.status_code in (400, 422)
    assert list(wrongs(answer)) == [field]
    assert PrintedDate.objects.count() == before


def test_a_date_that_cannot_be_read_says_so(cast, program):
    answer = program("engineer").post(
        "printed-dates/", {"component": "sandpiper-life-raft", "state": "illegible", "as_written": "?? 2029"}
    )
    assert (answer.status_code, answer.json()["good_through"]) == (201, None)
    assert cast.due("sandpiper life-raft", "raft").missing == "expiry"
    assert due_list_holds()


def test_a_dates_paper_is_one_of_its_boats_base(cast, program):
    elsewhere = cast.boat["far cry"].terms.get().base
    mine = keep_paper(Clean(b"mine", "image/jpeg", None), base=cast.base, at=NOW)
    theirs = keep_paper(Clean(b"theirs", "image/jpeg", None), base=elsewhere, at=NOW)
    make.MembershipFactory(person=cast.person["engineer"], base=elsewhere)
    answer = program("engineer").post("printed-dates/", RAFT | {"paper": mine.sha256})
    assert (answer.status_code, answer.json()["paper"]) == (201, mine.sha256)
    refused = program("engineer").post("printed-dates/", RAFT | {"paper": theirs.sha256})
    assert list(wrongs(refused)) == ["paper"]


def test_the_office_reads_no_printed_date(cast, program):
    assert program("office").post("printed-dates/", RAFT).status_code == 403
