"""After every action, and after all of them in any order, each due line equals one derived afresh."""

import random
from collections.abc import Callable
from contextlib import contextmanager, suppress
from datetime import date, time
from decimal import Decimal

import pytest
from django.apps import apps
from django.db.models.signals import pre_delete, pre_save

from fleet.charters.actions import CharterRefused
from fleet.charters.models import Charter
from fleet.ledger import Ledger
from fleet.meters.actions import ReadingGoesBackwards
from maintenance.defects.actions import end_defect, report_defect
from maintenance.jobs.actions import Work, WorkRefused, record_work, start_counting, take_back_job
from maintenance.jobs.away import back_with_paper, lend_aboard, send_away
from maintenance.jobs.models import Job
from maintenance.jobs.refitting import NewPlace, move_part
from maintenance.planning.actions import cancel_charter, change_boat, extend_charter
from maintenance.servicing.models import Due
from maintenance.spares.actions import count_stock
from maintenance.turnaround.actions import take_back_part, take_back_return
from maintenance.turnaround.doubts import doubtful, put_aside, settle
from maintenance.turnaround.models import Return
from tests.cast import NOW, TODAY, Cast, back, due_list_holds

Act = Callable[[Cast], object]
ACTS: dict[str, Act] = {}
LEDGERS = [model for model in apps.get_models() if issubclass(model, Ledger)]
REFUSALS = (WorkRefused, CharterRefused, ReadingGoesBackwards)


def act(does: Act) -> Act:
    ACTS[does.__name__.strip("_").replace("_", " ")] = does
    return does


@act
def a_return(cast):
    return back(cast, "sandpiper", main="1250")


@act
def a_return_in_doubt(cast):
    return back(cast, "twice shy", port="18", starboard="9999")


@act
def a_first_reading(cast):
    return back(cast, "blank page", main="640")


@act
def a_return_taken_back(cast):
    return take_back_return(back(cast, "sandpiper", main="1240"), at=NOW)


@act
def a_reading_taken_back(cast):
    filed = back(cast, "twice shy", port="1830", starboard="2400")
    return take_back_part(filed, filed.readings.first().reading, at=NOW)


@act
def a_doubt_settled(cast):
    waiting = doubtful([cast.boat["twice shy"].pk])
    return waiting and settle(waiting[0], at=NOW, dial=Decimal(1812))


@act
def a_doubt_settled_as_a_new_meter(cast):
    waiting = doubtful([boat.pk for boat in cast.boat.values()])
    return waiting and settle(waiting[-1], at=NOW, new_meter=True)


@act
def a_doubt_set_aside(cast):
    waiting = doubtful([boat.pk for boat in cast.boat.values()])
    return waiting and put_aside(waiting[0], at=NOW)


@act
def work(cast):
    tasks = [cast.task("sandpiper engine-oil", "change"), cast.task("sandpiper rigging", "rig")]
    done = Work(TODAY, tasks, {cast.meter["sandpiper main"]: Decimal(1210)})
    return record_work(cast.boat["sandpiper"], done, at=NOW)


@act
def earlier_work(cast):
    tasks = [cast.task("sandpiper impeller", "replace")]
    done = Work(date(2026, 5, 20), tasks, {cast.meter["sandpiper main"]: Decimal(1170)})
    return record_work(cast.boat["sandpiper"], done, at=NOW)


@act
def work_taken_back(cast):
    jobs = Job.objects.filter(state="done")
    return [take_back_job(job, at=NOW) for job in jobs] if jobs else take_back_job(earlier_work(cast), at=NOW)


@act
def counting_one_line(cast):
    tasks = [cast.task("blank page engine-oil", "change")]
    return start_counting(cast.boat["blank page"], tasks, from_on=date(2026, 5, 1), at=NOW)


@act
def counting_a_whole_boat(cast):
    lines = Due.objects.filter(boat=cast.boat["blank page"], recorded=False)
    names = {
        (line.component.code.replace("blank-page-", "blank page "), line.interval.code) for line in lines
    }
    tasks = [cast.task(*name) for name in sorted(names)]
    return tasks and start_counting(cast.boat["blank page"], tasks, from_on=TODAY, at=NOW)


@act
def sent_away_and_back(cast):
    raft = cast.part["twice shy life-raft"]
    send_away(raft, whom="Raft station", day=TODAY, at=NOW)
    assert due_list_holds()
    lend_aboard(raft, whom="Raft station", serial="L-1", good_through=None, day=TODAY, at=NOW)
    task = cast.task("twice shy life-raft", "raft")
    return back_with_paper([task], day=TODAY, paper="P", printed="2027-05", at=NOW)


@act
def a_charter_extended(cast):
    charter = Charter.objects.get(code="T1")
    return extend_charter(charter, ends_on=date(2026, 5, 30), back_at=time(12), at=NOW)


@act
def a_charter_cut_short(cast):
    return extend_charter(Charter.objects.get(code="S2"), ends_on=date(2026, 5, 27), at=NOW)


@act
def a_boat_changed_on_the_way(cast):
    charter = Charter.objects.get(code="S2")
    return change_boat(charter, cast.boat["blank page"], from_on=date(2026, 5, 26), why="engine", at=NOW)


@act
def a_boat_changed_before(cast):
    charter = Charter.objects.get(code="S4")
    return change_boat(charter, cast.boat["twice shy"], from_on=date(2026, 6, 6), why="rig", at=NOW)


@act
def a_charter_called_off(cast):
    return cancel_charter(Charter.objects.get(code="S3"), at=NOW)


@act
def a_part_moved_with_its_hours(cast):
    place = NewPlace(cast.boat["blank page"], cast.meter["blank page main"])
    part = cast.part["sandpiper impeller"]
    there = Due.objects.filter(component=part, boat=cast.boat["blank page"]).exists()
    return there or move_part(part, place, on=TODAY, why="in a hurry", at=NOW)


@act
def a_reading_where_the_part_came_from(cast):
    a_part_moved_with_its_hours(cast)
    return back(cast, "sandpiper", main="1251")


@act
def a_count_and_a_defect(cast):
    count_stock(cast.spare["oil"], cast.place["store"], counted=Decimal(3), day=TODAY, at=NOW)
    defect = report_defect(cast.boat["sandpiper"], words="Heads pump leaks", at=NOW)
    return end_defect(defect, step="put right", who="A. Fitter", at=NOW)


@pytest.mark.parametrize("name", ACTS)
def test_the_due_list_is_that_of_a_fresh_derivation_after(cast, name):
    ACTS[name](cast)
    assert due_list_holds()


def test_a_part_moved_takes_its_line_and_its_hours_to_the_other_boat(cast):
    back(cast, "blank page", main="640")
    a_part_moved_with_its_hours(cast)
    line = cast.due("sandpiper impeller", "look")
    assert line.boat == cast.boat["blank page"]
    # served at 1120, 70.4 h run since: 29.6 h left on a meter that shows 640
    assert (line.hours_now, line.due_hours) == (640, Decimal("669.6"))


@pytest.mark.parametrize("seed", [0, 1, *(pytest.param(n, marks=pytest.mark.long) for n in (2, 3))])
def test_a_busy_day_in_any_order_leaves_the_list_as_a_fresh_one(cast, seed):
    names = list(ACTS)
    random.Random(seed).shuffle(names)
    done = 0
    for name in names:
        try:
            ACTS[name](cast)
            done += 1
        except REFUSALS:
            pass  # one act stands in another's way: nothing of it is kept
        assert due_list_holds(), f"after {name}, in the order {names}"
    assert done > len(ACTS) / 2


@contextmanager
def only_added_to():
    """Refuses to change or delete a ledger's row; what was said to have followed is added once."""

    def saving(sender, instance, **_):
        kept = sender.objects.filter(pk=instance.pk).values().first() if sender in LEDGERS else None
        differs = {column for column, value in (kept or {}).items() if getattr(instance, column) != value}
        assert differs <= {"followed"}, f"{sender.__name__} changed: {differs}"

    def deleting(sender, **_):
        assert sender not in LEDGERS, f"{sender.__name__} deleted"

    pre_save.connect(saving)
    pre_delete.connect(deleting)
    yield
    pre_save.disconnect(saving)
    pre_delete.disconnect(deleting)


def test_whatever_is_done_a_ledger_is_only_added_to(cast):
    with only_added_to():
        for does in ACTS.values():
            with suppress(*REFUSALS):
                does(cast)
    assert Return.objects.filter(void=True).exists()
