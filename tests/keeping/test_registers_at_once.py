"""Two programs at the API at the same moment: a code is taken once, a change is made to what was read."""

import pytest

from fleet.boats.models import Boat, BoatTerms, Fitting
from fleet.charters.models import Charter
from tests.cast import Cast, assemble, due_list_holds
from tests.doors.api import wrongs
from tests.keeping.test_at_once import at_once, rounds
from tests.once_more import once_more


@pytest.fixture
def cast(book) -> Cast:
    """The cast in a database of its own, where what is written is kept at once."""
    return once_more("cast", assemble)


def statuses(answers):
    return sorted(answer.status_code for answer in answers)


@rounds
def test_a_code_is_taken_once_and_the_second_is_told_so(program, n):
    said = {"code": "tern", "name": "Tern", "base": "harbour"}
    callers = [program("manager"), program("office")]
    answers = at_once(*[lambda c=c: c.post("boats/", said) for c in callers])
    assert statuses(answers) == [201, 422]
    assert list(wrongs(max(answers, key=lambda a: a.status_code))) == ["code"]
    assert (
        Boat.objects.filter(code="tern").count(),
        BoatTerms.objects.filter(boat__code="tern").count(),
    ) == (
        1,
        1,
    )


@rounds
def test_of_two_changes_to_what_both_read_one_is_made(cast, program, n):
    row = f"charters/{cast.charter['S3'].pk}/"
    read = {"If-Match": program("office").get(row)["ETag"]}
    callers = {"B1": program("manager"), "B2": program("office")}
    answers = at_once(*[lambda b=b, c=c: c.patch(row, {"berth": b}, read) for b, c in callers.items()])
    assert statuses(answers) == [200, 412]
    made = min(answers, key=lambda a: a.status_code)
    assert Charter.objects.get(code="S3").berth == made.json()["berth"] != "A4"


@rounds
def test_one_move_sent_three_times_at_once_is_made_once(cast, program, n):
    said = {"component": "sandpiper-impeller", "boat": "twice-shy", "on": "2026-05-28", "client_id": "m"}
    callers = [program("engineer") for _ in range(3)]
    answers = at_once(*[lambda c=c: c.post("fittings/", said) for c in callers])
    assert statuses(answers) == [200, 200, 201]
    assert len({answer.json()["id"] for answer in answers}) == 1
    assert Fitting.objects.standing().filter(component=cast.part["sandpiper impeller"]).count() == 2
    assert due_list_holds()


@rounds
def test_a_boat_is_booked_once_for_one_week(program, n):
    week = {"boat": "sandpiper", "starts_on": "2026-06-13", "ends_on": "2026-06-20"}
    callers = {"N1": program("manager"), "N2": program("office")}
    answers = at_once(*[lambda n=n, c=c: c.post("charters/", week | {"code": n}) for n, c in callers.items()])
    assert statuses(answers) == [201, 422]
    assert Charter.objects.filter(code__startswith="N").count() == 1
    assert due_list_holds()
