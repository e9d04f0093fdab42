"""The winter's list of a base's boats: what waits for it, each thing once, and until when it looks."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from maintenance.defects.actions import grade_defect, report_defect
from maintenance.defects.deferring import defer_defect
from maintenance.defects.looking import record_look, record_touch
from maintenance.defects.until import Until
from maintenance.jobs.actions import Task, Work, record_work
from maintenance.planning.winter import winter_of
from maintenance.release.laying_up import begin_fitting_out, lay_up
from maintenance.servicing.actions import reforecast
from tests import factories as make
from tests.cast import NOW, TODAY, book, fit, more_boats
from tests.wintering import winter_tasks

WEEK = timedelta(days=7)


@pytest.fixture
def page(cast):
    return cast.boat["blank page"]


@pytest.fixture
def tasks(cast):
    winter_tasks(cast)


def winter(cast, boat="blank page"):
    (found,) = winter_of(cast.base, on=TODAY, now=NOW, boat=cast.boat[boat].pk)
    return found


def test_the_list_gathers_what_waits_for_the_winter_each_once(cast, page, tasks):
    for words, grade in (("Stain", "watch"), ("Rattle", ""), ("Pump leaks", "limits use")):
        row = report_defect(page, words=words, at=NOW)
        if grade:
            grade_defect(row, grade=grade, who="A. Fitter", at=NOW)
    record_touch(page, day=TODAY, touched="keel", reporter="Skipper", at=NOW)
    found = winter(cast)
    assert [d.interval.code for d in found.season] == ["gearbox"]
    assert [d.words for d in found.watches] == ["Stain"]
    assert [d.words for d in found.ungraded] == ["Rattle"]
    assert [d.words for d in found.others] == ["Pump leaks"]
    assert len(found.touches) == 1
    assert found.open == 5 + len(found.critical) + len(found.work) + len(found.dates)


def test_gearbox_oil_done_in_this_winter_is_off_the_list_until_the_next(cast, page, tasks):
    """Design, section 4: changed on or after 15 October it is due at the end of the next winter."""
    lay_up(page, date(2026, 4, 12), at=NOW)
    assert [d.due_on for d in winter(cast).season] == [date(2024, 3, 31)]
    part = cast.part["blank page engine-oil"]
    make.ServiceFactory(component=part, interval=cast.interval["gearbox"], done_on=date(2026, 4, 20))
    reforecast(on=TODAY)
    assert winter(cast).season == ()


@pytest.mark.parametrize(("method", "left"), [("diver", 1), ("ashore", 0)])
def test_a_touch_leaves_the_list_by_a_look_out_of_the_water_only(cast, page, method, left):
    touch = record_touch(page, day=TODAY, touched="rudder", reporter="Skipper", at=NOW)
    said_ = {"who": "D. Iver", "seen": "Nothing", "sound": True, "touch": touch}
    record_look(page, day=TODAY, method=method, at=NOW, **said_)
    assert len(winter(cast).touches) == left


def test_the_list_of_ten_boats_takes_as_many_queries_as_of_three(cast, tasks):
    counted = []
    for more in (0, 7):
        more_boats(cast, more)
        for n in range(more):
            fit(cast, f"sister {n}", "life-raft", None)
            report_defect(cast.boat[f"sister {n}"], words="Stain", at=NOW)
        with CaptureQueriesContext(connection) as seen:
            found = winter_of(cast.base, on=TODAY, now=NOW)
        counted.append(len(seen))
    assert len(found) == 10
    assert counted[0] == counted[1]


def test_in_the_season_it_looks_a_year_ahead_and_laid_up_to_the_end_of_her_first_charter(cast, page, tasks):
    assert winter(cast).until == date(2027, 5, 28)
    lay_up(page, date(2026, 4, 12), at=NOW)
    assert (winter(cast).first.code, winter(cast).until) == ("B1", date(2026, 6, 11))


def test_the_winter_goes_on_through_fitting_out_and_has_a_first_charter_after_a_booked_lay_up(cast, page):
    lay_up(page, date(2026, 4, 12), at=NOW)
    begin_fitting_out(page, TODAY, at=NOW + WEEK / 7000)
    stands = winter(cast).stands
    assert (stands.state, stands.since, stands.laid_up_on) == ("fitting-out", TODAY, date(2026, 4, 12))
    lay_up(cast.boat["sandpiper"], date(2026, 6, 20), at=NOW)
    coming = winter(cast, "sandpiper")
    assert (coming.stands.layup_on, coming.first) == (date(2026, 6, 20), None)


def test_what_was_deferred_until_lay_up_stands_apart_from_what_waits_otherwise(cast, page):
    for words, until in (("Sprayhood torn", Until(layup=True)), ("Lamp dim", Until(charters=2))):
        row = report_defect(page, words=words, at=NOW)
        grade_defect(row, grade="cosmetic", who="A. Fitter", at=NOW)
        defer_defect(row, until, who="A. Fitter", at=NOW)
    found = winter(cast)
    assert [d.words for d in found.at_layup] == ["Sprayhood torn"]
    assert [d.words for d in found.deferred] == ["Lamp dim"]
    assert found.others == ()


def test_tasks_of_the_lay_up_count_as_open_when_they_are_due(cast, page, tasks):
    lay_up(page, date(2026, 4, 12), at=NOW)
    assert (len(winter(cast).tasks), winter(cast).due_tasks) == (1, 1)
    part = cast.part["blank page engine-oil"]
    record_work(page, Work(TODAY, [Task(part, cast.interval["turn"])]), at=NOW)
    assert (len(winter(cast).tasks), winter(cast).due_tasks) == (1, 0)


def test_critical_services_are_listed_to_the_end_of_the_first_charter(cast):
    """Sandpiper's raft is good through 30 June: it is on the list of who goes out beyond that."""
    assert [d.interval.code for d in winter(cast, "sandpiper").critical] == []
    lay_up(cast.boat["sandpiper"], date(2026, 6, 20), at=NOW)
    assert winter(cast, "sandpiper").critical == ()
    book(cast, "S9", "sandpiper", "2026-06-27", "2026-07-04")
    assert [d.interval.code for d in winter(cast, "sandpiper").critical] == ["raft"]


@pytest.mark.parametrize(
    ("done", "there"), [("2025-06-13", False), ("2025-06-10", True), ("2025-04-01", True)]
)
def test_all_work_overdue_or_due_before_she_is_back_from_her_first_charter_is_on_the_list(
    cast, page, done, there
):
    """Rigging is looked at every year: last on 10 June it falls due on the first charter, B1."""
    part = cast.part["blank page rigging"]
    make.ServiceFactory(component=part, interval=cast.interval["rig"], done_on=date.fromisoformat(done))
    reforecast(on=TODAY)
    assert ("rig" in {d.interval.code for d in winter(cast).work}) == there


def test_a_task_of_the_winter_stays_on_the_list_of_a_boat_laid_up_though_a_charter_comes_first(cast, page):
    """The season of the sail runs to 31 August, B1 is back on 11 June."""
    sail = {"season_opens": "05-01", "season_closes": "08-31"}
    kind = cast.interval["change"].kind
    cast.interval["loft"] = make.IntervalFactory(code="loft", kind=kind, **sail)
    part = cast.part["blank page engine-oil"]
    make.ServiceFactory(component=part, interval=cast.interval["loft"], done_on=date(2025, 9, 20))
    reforecast(on=TODAY)
    lay_up(page, date(2026, 4, 12), at=NOW)
    assert [d.due_on for d in winter(cast).season] == [date(2026, 8, 31)]
