"""Two programs at the ledgers of the API at the same moment: one row of what is sent twice, one end, one
correction, and the second is told."""

import pytest

from maintenance.defects.models import Defect, DefectStep
from maintenance.jobs.models import AwayStep, Job
from maintenance.servicing.models import Service
from maintenance.spares.facts import hands
from maintenance.spares.models import StockMove
from tests.cast import Cast, assemble, due_list_holds
from tests.keeping.test_at_once import at_once, rounds
from tests.once_more import once_more

DAY = "2026-05-28"
OIL = {"component": "sandpiper-engine-oil", "interval": "change", "done_on": DAY}
SENT = {"component": "sandpiper-life-raft", "step": "sent away", "day": DAY, "whom": "Raft loft"}
LENT = {"component": "sandpiper-life-raft", "step": "lent one aboard", "day": DAY, "serial": "0042"}
REPORT = {"boat": "sandpiper", "words": "Leaks"}


@pytest.fixture
def cast(book) -> Cast:
    """The cast in a database of its own, where what is written is kept at once."""
    return once_more("cast", assemble)


def sent(program, where, *bodies):
    """Each body by a program of its own, all at once: the answers by their status."""
    calls = [(program("engineer"), body) for body in bodies]
    answers = at_once(*[lambda c=c, b=b: c.post(where, b) for c, b in calls])
    return sorted(answers, key=lambda answer: answer.status_code)


def received(cast):
    return {"spare": "oil", "to_place": cast.place["store"].pk, "quantity": 2, "why": "received", "day": DAY}


@rounds
@pytest.mark.parametrize("word", ["services", "jobs", "stock-moves", "defects", "away-steps", "counts"])
def test_what_is_sent_three_times_at_once_is_one_row(program, cast, word, n):
    tasks = [{"component": OIL["component"], "interval": "change"}]
    counted = {"spare": "oil", "place": cast.place["store"].pk, "counted": 7, "day": DAY}
    said = {
        "services": OIL,
        "jobs": {"boat": "sandpiper", "day": DAY, "tasks": tasks},
        "stock-moves": received(cast),
        "defects": REPORT,
        "away-steps": SENT,
        "counts": counted,
    }[word]
    answers = sent(program, f"{word}/", *[said | {"client_id": "a"}] * 3)
    assert [answer.status_code for answer in answers] == [200, 200, 201]
    assert len({answer.content for answer in answers}) == 1
    assert [
        Service.objects.filter(done_on=DAY).count(),
        StockMove.objects.filter(day=DAY).count(),
        Defect.objects.count(),
        AwayStep.objects.count(),
    ] == [
        int(word in ("services", "jobs")),
        int(word in ("stock-moves", "counts")),
        int(word == "defects"),
        int(word == "away-steps"),
    ]
    assert due_list_holds()


@rounds
def test_a_defect_ends_once_and_the_second_is_told_of_it(program, cast, n):
    row = program().post("defects/", REPORT).json()
    body = {"defect": row["id"], "step": "put right"}
    first, second = sent(program, "defect-steps/", body, body | {"step": "no fault found"})
    assert (first.status_code, second.status_code) == (201, 409)
    assert first.json()["step"] in second.json()["detail"]
    assert DefectStep.objects.count() == 1


@rounds
def test_of_two_corrections_one_is_made(program, cast, n):
    row = program().post("stock-moves/", received(cast)).json()
    where = f"stock-moves/{row['id']}/corrections/"
    first, second = sent(program, where, {"quantity": 3}, {"quantity": 4})
    assert (first.status_code, second.status_code) == (201, 409)
    assert hands()[cast.spare["oil"].pk, cast.place["store"].pk] == 20 + first.json()["quantity"]
    leak = program().post("defects/", REPORT).json()
    first, second = sent(program, f"defects/{leak['id']}/corrections/", {"works": "no"}, {"works": "yes"})
    assert (first.status_code, second.status_code) == (201, 409)
    assert Defect.objects.standing().get().works == first.json()["works"]


@rounds
def test_the_lent_one_taken_back_twice_at_once_leaves_the_thing_away(program, cast, n):
    for body in (SENT, LENT):
        lent = program().post("away-steps/", body).json()
    first, second = sent(program, f"away-steps/{lent['id']}/corrections/", *[{"void": True}] * 2)
    assert (first.status_code, second.status_code) == (201, 409)
    assert AwayStep.objects.standing().get().step == "sent away"


@rounds
def test_a_job_taken_back_twice_at_once_is_taken_back_once(program, cast, n):
    row = program().post("services/", OIL).json()
    job = Job.objects.get()
    answers = sent(program, f"jobs/{job.pk}/corrections/", *[{"void": True}] * 2)
    assert {answer.status_code for answer in answers} <= {200, 201}
    assert Service.objects.filter(replaces=row["id"]).count() == 1
    assert Service.objects.standing().filter(done_on=DAY).count() == 0
    assert due_list_holds()
