"""Two people, or one message twice, at the same moment: on connections of their own, on both databases."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from decimal import Decimal
from threading import Barrier
from typing import Any

import pytest
from django.db import connections
from django.db.transaction import TransactionManagementError

from fleet.bases.turns import take_turn
from fleet.boats.models import Fitting, Meter
from fleet.charters.models import Charter
from fleet.ledger import take_back
from fleet.meters.models import Reading
from maintenance.defects.actions import DefectEnded, end_defect, report_defect
from maintenance.defects.models import Defect, DefectStep
from maintenance.jobs.actions import Work, WorkRefused, record_work
from maintenance.jobs.away import back_with_paper, send_away
from maintenance.jobs.models import AwayStep, Job
from maintenance.jobs.refitting import NewPlace, move_part
from maintenance.planning.actions import change_boat, extend_charter
from maintenance.servicing.actions import reforecast
from maintenance.servicing.models import Service
from maintenance.spares.actions import count_stock
from maintenance.spares.facts import hands
from maintenance.turnaround.actions import DialRead, Report, file_return
from maintenance.turnaround.models import Return
from tests.cast import NOW, TODAY, Cast, assemble, due_list_holds
from tests.once_more import once_more

# What goes wrong at once goes wrong by chance: once here, once on PostgreSQL, five times in a whole run.
rounds = pytest.mark.parametrize("n", [0, *(pytest.param(n, marks=pytest.mark.long) for n in range(1, 5))])
TURNS = 5


@pytest.fixture
def cast(book) -> Cast:
    """The cast in a database of its own, where what is written is kept at once."""
    return once_more("cast", assemble)


def at_once(*stories: Callable[[], Any]) -> list[Any]:
    """What each story gave or died of; all begin together, each on a connection of its own."""
    together = Barrier(len(stories))

    def run(story: Callable[[], Any]) -> Any:
        try:
            connections["default"].ensure_connection()
            together.wait(timeout=20)
            return story()
        except Exception as died:
            return died
        finally:
            connections["default"].close()

    with ThreadPoolExecutor(len(stories)) as pool:
        return list(pool.map(run, stories))


def back(cast: Cast, meter: str, dial: str | None, client_id: str | None = None) -> Callable[[], Return]:
    boat = cast.meter[meter].boat
    read = [DialRead(cast.meter[meter], Decimal(dial))] if dial else []
    said = Report(filed_by="base", day=TODAY, dials=read, defects=["Leaks"])
    return lambda: file_return(boat, None, said, at=NOW, client_id=client_id)


@rounds
def test_two_returns_of_one_boat_are_both_kept_and_the_list_follows_both(cast, n):
    filed = at_once(back(cast, "sandpiper main", "1211"), back(cast, "sandpiper main", "1215.5"))
    assert {type(one) for one in filed} == {Return}
    dials = Reading.objects.standing().filter(meter=cast.meter["sandpiper main"], day=TODAY)
    assert sorted(dials.values_list("dial", flat=True)) == [1211, Decimal("1215.5")]
    assert Defect.objects.count() == 2
    assert due_list_holds()


@rounds
def test_one_return_sent_four_times_at_once_is_kept_once_and_each_is_told_of_it(cast, n):
    filed = at_once(*[back(cast, "sandpiper main", "1211", "made on a phone")] * 4)
    assert {type(one) for one in filed} == {Return}
    assert len({one.pk for one in filed}) == 1
    assert (Return.objects.count(), Defect.objects.count()) == (1, 1)
    assert due_list_holds()


@rounds
def test_one_piece_of_work_sent_twice_at_once_is_kept_once_and_both_are_told_of_it(cast, n):
    work = Work(TODAY, [cast.task("sandpiper engine-oil", "change")])
    boat = cast.boat["sandpiper"]
    jobs = at_once(*[lambda: record_work(boat, work, at=NOW, client_id="made on a phone")] * 3)
    assert {type(one) for one in jobs} == {Job}
    assert len({one.pk for one in jobs}) == 1
    assert Service.objects.filter(done_on=TODAY).count() == 1
    assert due_list_holds()


@rounds
def test_work_that_two_people_record_at_once_counts_once_and_the_second_is_told(cast, n):
    work = Work(TODAY, [cast.task("sandpiper engine-oil", "change")])
    first, second = sorted(
        at_once(*[lambda: record_work(cast.boat["sandpiper"], work, at=NOW)] * 2),
        key=lambda r: isinstance(r, Exception),
    )
    assert isinstance(first, Job)
    assert isinstance(second, WorkRefused)
    assert "is recorded for 2026-05-28 already" in str(second)
    assert due_list_holds()


@rounds
def test_a_defect_put_right_twice_in_the_same_words_ends_once(cast, n):
    leak = report_defect(cast.boat["sandpiper"], words="Leaks", at=NOW)
    steps = at_once(*[lambda: end_defect(leak, step="put right", who="A. Fitter", at=NOW)] * 3)
    assert [type(step) for step in steps] == [DefectStep] * 3
    assert DefectStep.objects.count() == 1
    take_back(steps[0], at=NOW)
    assert list(Defect.objects.open()) == [leak]


@rounds
def test_of_two_ends_of_a_defect_the_second_is_told_of_the_first(cast, n):
    leak = report_defect(cast.boat["sandpiper"], words="Leaks", at=NOW)
    ends = at_once(
        lambda: end_defect(leak, step="put right", who="A. Fitter", at=NOW),
        lambda: end_defect(leak, step="no fault found", who="B. Hand", at=NOW),
    )
    assert sorted(type(end).__name__ for end in ends) == [DefectEnded.__name__, DefectStep.__name__]
    kept = DefectStep.objects.get()
    [told] = [str(end) for end in ends if isinstance(end, DefectEnded)]
    assert told == f"step: wanted an open defect; {kept.by} said “{kept.step}” already"


@rounds
def test_two_counts_of_one_store_at_once_leave_what_was_counted(cast, n):
    spare, store = cast.spare["oil"], cast.place["store"]
    died = at_once(*[lambda: count_stock(spare, store, counted=Decimal(7), day=TODAY, at=NOW)] * 3)
    assert not [one for one in died if isinstance(one, Exception)]
    assert hands([store.pk])[spare.pk, store.pk] == 7


@rounds
def test_a_thing_is_sent_away_once_and_comes_back_once(cast, n):
    raft = cast.part["sandpiper life-raft"]
    at_once(*[lambda: send_away(raft, whom="The station", day=TODAY, at=NOW)] * 2)
    assert AwayStep.objects.filter(step="sent away").count() == 1
    tasks = [cast.task("sandpiper life-raft", "raft")]
    given = {"day": TODAY, "paper": "7", "printed": "2027-06", "at": NOW, "client_id": "made on a phone"}
    jobs = at_once(*[lambda: back_with_paper(tasks, **given)] * 3)
    assert {type(one) for one in jobs} == {Job}
    assert AwayStep.objects.filter(step="back with its paper").count() == 1
    assert due_list_holds()


@rounds
def test_a_charter_extended_while_it_gets_another_boat_is_both(cast, n):
    def another_boat():
        charter = Charter.objects.get(code="S4")
        return change_boat(charter, cast.boat["far cry"], from_on=charter.starts_on, why="her engine", at=NOW)

    Charter.objects.filter(code="F1").delete()
    extended = lambda: extend_charter(Charter.objects.get(code="S4"), ends_on=date(2026, 6, 15), at=NOW)  # noqa: E731
    died = at_once(another_boat, extended)
    assert not [one for one in died if isinstance(one, Exception)], died
    charter = Charter.objects.get(code="S4")
    assert (charter.boat, charter.ends_on) == (cast.boat["far cry"], date(2026, 6, 15))
    assert due_list_holds()


def moved(cast: Cast, part: str, to: str, meter: Meter | None = None) -> Callable[[], Any]:
    place = NewPlace(cast.boat[to], meter)
    return lambda: move_part(cast.part[part], place, on=TODAY, why="swap", at=NOW)


def test_stories_of_boats_tied_by_parts_neither_wait_in_a_ring_nor_leave_a_line_behind(cast):
    """Parts go round three boats while each comes back and the whole list is derived: a story of
    one boat rewrites the lines of those that carry what was once hers."""
    meters = {name: cast.meter[f"{name} main"] for name in ("sandpiper", "blank page", "far cry")}
    moved(cast, "sandpiper impeller", "blank page", meters["blank page"])()
    moved(cast, "blank page engine-oil", "sandpiper", meters["sandpiper"])()
    died = []
    for n in range(TURNS):
        onward = "far cry" if n % 2 else "sandpiper"
        died += at_once(
            back(cast, "sandpiper main", f"{1211 + n}"),
            back(cast, "blank page main", f"{40 + n}"),
            back(cast, "far cry main", f"{600 + n}"),
            moved(cast, "sandpiper impeller", onward, meters[onward]),
            moved(cast, "sandpiper gas-bottle", "twice shy" if n % 2 else "blank page"),
            lambda: reforecast(on=TODAY),
        )
        assert due_list_holds()
    assert not [one for one in died if isinstance(one, Exception)], died
    assert Return.objects.count() == 3 * TURNS
    assert (
        Fitting.objects.standing().filter(component=cast.part["sandpiper impeller"], removed_on=None).count()
        == 1
    )


def test_a_turn_is_asked_for_inside_a_transaction(book):
    """Outside one it would be over at once: the database that locks rows says so."""
    if connections["default"].features.has_select_for_update:
        with pytest.raises(TransactionManagementError):
            take_turn()
    else:
        take_turn()
