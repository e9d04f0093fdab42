"""Recording work: as one act, once, and with a way back; start counting claims no work."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from fleet.boats.dates import DateNotClear
from fleet.boats.models import PrintedDate
from fleet.meters.models import Reading
from maintenance.jobs.actions import (
    TooLateToTakeBack,
    Work,
    WorkRefused,
    record_work,
    start_counting,
    take_back_job,
)
from maintenance.jobs.models import Job
from maintenance.servicing.models import Due, Service
from maintenance.spares.actions import SpareUsed
from maintenance.spares.facts import hands
from maintenance.turnaround.doubts import settle
from tests.cast import TODAY, due_list_holds

OIL, LOOK = ("sandpiper engine-oil", "change"), ("sandpiper impeller", "look")
RAFT = ("sandpiper life-raft", "raft")


@pytest.fixture
def do(cast, now):
    """Records tasks done on Sandpiper today."""

    def do(*tasks: tuple[str, str], dial=None, client_id=None, at=now, on=TODAY, boat="sandpiper", **more):
        dials = {cast.meter["sandpiper main"]: Decimal(dial)} if dial else {}
        work = Work(on, [cast.task(*t) for t in tasks], **{"dials": dials} | more)
        return record_work(cast.boat[boat], work, at=at, by=cast.person["engineer"], client_id=client_id)

    return do


def lines() -> list[tuple]:
    return list(Due.objects.order_by("component", "interval").values_list("due_on", "hours_now", "recorded"))


def oil_left(cast) -> Decimal:
    return hands()[cast.spare["oil"].pk, cast.place["store"].pk]


def test_work_done_moves_its_line_and_says_by_how_much(cast, do):
    before = cast.due(*OIL).due_on
    job = do(OIL, dial="1200")
    oil = cast.due(*OIL)
    assert oil.due_hours == 1300
    moved = {m["task"]: m for m in job.followed["moved"]}["Change"]
    assert (moved["before"], moved["after"]) == (before.isoformat(), oil.due_on and oil.due_on.isoformat())
    assert due_list_holds()


def test_several_tasks_ticked_off_together_are_one_job(cast, do):
    job = do(OIL, LOOK, ("sandpiper rigging", "rig"), dial="1200", minutes=95, who="A. Fitter")
    assert (job.services.count(), job.minutes_planned, job.minutes_taken) == (3, 310, 95)
    assert Reading.objects.filter(dial=1200).count() == 1
    assert {cast.due(*t).counted_from for t in (OIL, LOOK)} == {TODAY}
    assert due_list_holds()


def test_replacing_the_impeller_settles_looking_at_it(cast, do):
    do(("sandpiper impeller", "replace"), dial="1200")
    assert cast.due(*LOOK).counted_from == TODAY
    assert due_list_holds()


def test_parts_are_taken_from_where_they_lay_and_shortage_is_said(cast, do):
    used = [
        SpareUsed(cast.spare["oil"], cast.place["store"], Decimal("4.5")),
        SpareUsed(cast.spare["impeller kit"], cast.place["sandpiper locker"], Decimal(2)),
    ]
    followed = do(OIL, used=used).followed
    assert oil_left(cast) == Decimal("15.5")
    assert [row["on_hand"] for row in followed["short"]] == ["-1.000"]
    assert followed["to_count"] == [
        {"spare": cast.spare["impeller kit"].pk, "place": cast.place["sandpiper locker"].pk}
    ]


def test_a_dial_that_cannot_be_right_is_kept_as_doubtful_and_the_work_counts(cast, do):
    job = do(OIL, dial="12")
    assert job.followed["doubtful"] == [job.readings.get().reading.pk]
    assert (cast.due(*OIL).hours_now, cast.due(*OIL).counted_from) == (Decimal("1190.4"), TODAY)
    assert due_list_holds()


def test_the_work_takes_the_hours_of_its_dial_once_that_is_settled(cast, do, now):
    job = do(OIL, dial="120")
    assert cast.due(*OIL).due_hours == Decimal("1290.4")
    settle(job.readings.get().reading, at=now, dial=Decimal(1205))
    assert cast.due(*OIL).due_hours == 1305
    assert due_list_holds()


def test_a_new_printed_date_moves_the_expiry_and_without_one_the_old_stays(cast, do):
    do(RAFT)
    assert cast.due(*RAFT).due_on == date(2026, 6, 30)
    do(("sandpiper rigging", "rig"), printed={cast.part["sandpiper life-raft"]: "06/2027"})
    assert cast.due(*RAFT).due_on == date(2027, 6, 30)
    assert due_list_holds()


def test_the_same_work_sent_twice_is_kept_once(cast, do):
    first = do(OIL, dial="1200", client_id="w-1")
    assert do(OIL, dial="1200", client_id="w-1") == first
    assert (Job.objects.count(), Reading.objects.filter(dial=1200).count()) == (1, 1)


REFUSED = {
    "tomorrow": ({"on": TODAY + timedelta(days=1)}, "done_on", "a day up to today"),
    "before it was fitted": ({"on": date(2023, 2, 28)}, "done_on", "it was fitted on 2023-03-01"),
    "on another boat": ({"boat": "twice shy"}, "done_on", "was not on Twice Shy"),
    "recorded already": ({"on": date(2026, 5, 2)}, "tasks", "is recorded for 2026-05-02 already"),
}


@pytest.mark.parametrize(("how", "field", "why"), REFUSED.values(), ids=REFUSED)
def test_work_that_cannot_have_been_done_is_refused_and_nothing_is_kept(cast, do, how, field, why):
    used = [SpareUsed(cast.spare["oil"], cast.place["store"], Decimal("4.5"))]
    with pytest.raises(WorkRefused, match=why) as refused:
        do(OIL, used=used, **how)
    assert refused.value.field == field
    assert (Job.objects.count(), oil_left(cast)) == (0, 20)
    assert due_list_holds()


def test_a_task_of_another_kind_and_no_task_at_all_are_refused(do):
    with pytest.raises(WorkRefused, match="is not a task of sandpiper-impeller"):
        do(("sandpiper impeller", "change"))
    with pytest.raises(WorkRefused, match="at least one task"):
        do()


def test_the_dial_of_another_boat_is_refused(cast, do):
    with pytest.raises(WorkRefused, match="dials: port is not a meter of Sandpiper"):
        do(OIL, dials={cast.meter["twice shy port"]: Decimal(1900)})


def test_a_printed_date_that_could_mean_two_days_keeps_nothing(cast, do):
    with pytest.raises(DateNotClear):
        do(RAFT, dial="1200", printed={cast.part["sandpiper life-raft"]: "03/04/2027"})
    assert (Job.objects.count(), Reading.objects.filter(dial=1200).count()) == (0, 0)


def test_a_job_taken_back_leaves_all_as_it_was_before(cast, do, now):
    before = lines()
    used = [SpareUsed(cast.spare["oil"], cast.place["store"], Decimal("4.5"))]
    job = do(OIL, RAFT, dial="1200", used=used, printed={cast.part["sandpiper life-raft"]: "06/2027"})
    assert lines() != before
    take_back_job(job, at=now, by=cast.person["engineer"])
    assert (lines(), oil_left(cast)) == (before, 20)
    assert Job.objects.get().state == "taken back"
    assert Service.objects.filter(void=True).count() == 2
    assert due_list_holds()


def test_taking_back_twice_changes_nothing_and_the_work_can_be_recorded_again(do, now):
    job = do(OIL)
    take_back_job(job, at=now)
    rows = Service.objects.count()
    take_back_job(Job.objects.get(pk=job.pk), at=now)
    assert Service.objects.count() == rows
    do(OIL)
    assert due_list_holds()


def test_work_is_not_taken_back_the_next_day(do, now):
    with pytest.raises(TooLateToTakeBack, match="It was recorded on 2026-05-28"):
        take_back_job(do(OIL), at=now + timedelta(days=1))
    assert Job.objects.get().state == "done"


def test_a_job_whose_printed_date_was_read_again_since_is_taken_back_after_that(cast, do, now):
    raft = cast.part["sandpiper life-raft"]
    first = do(OIL, printed={raft: "06/2027"})
    second = do(RAFT, printed={raft: "06/2028"})
    with pytest.raises(TooLateToTakeBack, match="sandpiper-life-raft"):
        take_back_job(first, at=now)
    assert cast.due(*RAFT).due_on == date(2028, 6, 30)
    take_back_job(second, at=now)
    take_back_job(first, at=now)
    assert PrintedDate.objects.standing().get(component=raft).good_through == date(2026, 6, 30)
    assert due_list_holds()


BLANK = [("blank page engine-oil", "change"), ("blank page impeller", "look"), ("blank page rigging", "rig")]


@pytest.fixture
def count_from(cast, now):
    def count_from(*tasks, on=TODAY, client_id=None) -> Job:
        chosen = [cast.task(*t) for t in tasks]
        return start_counting(cast.boat["blank page"], chosen, from_on=on, at=now, client_id=client_id)

    return count_from


def test_counting_starts_for_one_line_and_claims_no_work(cast, count_from):
    job = count_from(BLANK[0], on=date(2026, 5, 1))
    assert (job.sort, job.services.get().service.counting) == ("start counting", True)
    assert cast.due(*BLANK[0]).due_on == date(2027, 5, 1)
    assert not cast.due(*BLANK[2]).recorded
    assert due_list_holds()


def test_counting_starts_for_a_whole_boat_at_once_and_is_undone_at_once(cast, count_from, now):
    before = lines()
    job = count_from(*BLANK, client_id="count-1")
    assert count_from(*BLANK, client_id="count-1") == job
    assert all(cast.due(*task).recorded for task in BLANK)
    assert "Rig" in [m["task"] for m in job.followed["moved"]]
    take_back_job(job, at=now)
    assert lines() == before
    assert due_list_holds()


def test_counting_does_not_start_tomorrow_nor_before_it_was_fitted_nor_of_nothing(count_from):
    for tasks, on in ((BLANK, TODAY + timedelta(days=1)), (BLANK, date(2020, 1, 1)), ((), TODAY)):
        with pytest.raises(WorkRefused):
            count_from(*tasks, on=on)
    assert not Service.objects.filter(counting=True).exists()
