"""The week's facts: who leaves when, whether the work fits, what to take and from where."""

from datetime import date, datetime, time
from decimal import Decimal

import pytest

from maintenance.defects.actions import report_defect
from maintenance.jobs.away import send_away
from maintenance.planning.actions import cancel_charter
from maintenance.planning.facts import boat_of, week_of
from maintenance.spares.actions import use_spare
from tests import factories as make
from tests.cast import TODAY, book, join, more_boats

SATURDAY = date(2026, 5, 30)


@pytest.fixture
def week(cast):
    return lambda: week_of(cast.base, TODAY)


@pytest.fixture
def visit(week):
    """A boat's card of the week."""

    def visit(name: str):
        found = week()
        return next(
            v for v in (*(v for d in found.days for v in d.visits), *found.ashore) if v.boat.code == name
        )

    return visit


def tasks(jobs) -> list[str]:
    return [job.due.interval.code for job in jobs]


def test_the_days_are_those_of_leaving_and_the_boats_stand_in_the_order_they_leave(cast, week):
    join(cast, "early bird")
    book(cast, "E1", "early bird", "2026-05-30", "2026-06-06", leaves_at=time(10))
    days = [(d.day, [v.boat.code for v in d.visits]) for d in week().days]
    assert days == [
        (SATURDAY, ["early-bird", "sandpiper", "twice-shy"]),
        (date(2026, 6, 4), ["blank-page"]),
    ]


def test_a_boat_that_leaves_later_than_the_week_is_among_those_not_leaving_if_she_has_work(cast, week, now):
    cancel_charter(cast.charter["B1"], at=now)
    join(cast, "idle")
    assert [v.boat.code for v in week().ashore] == ["blank-page"]


def test_another_bases_boats_are_not_here(cast, week):
    assert cast.boat["far cry"].pk not in week().boats


def test_a_day_has_its_engineers_less_the_minutes_every_boat_takes(cast, week):
    make.MembershipFactory(base=cast.base, person=make.PersonFactory())
    make.MembershipFactory(base=cast.base, person=make.PersonFactory(), until_on=date(2026, 5, 29))
    make.MembershipFactory(base=cast.base, person=make.PersonFactory(), from_on=date(2026, 5, 31))
    make.MembershipFactory(base=cast.base, person=make.PersonFactory(is_active=False))
    load = week().days[0].load
    assert (load.people, load.there, load.boats, load.fixed, load.left) == (2, 960, 2, 150, 810)


def test_the_days_work_is_that_of_its_boats_never_recorded_tasks_left_out(week):
    day = week().days[0]
    assert day.load.work == sum(v.minutes for v in day.visits)
    assert tasks(day.visits[1].never) == ["change"]


def test_what_must_be_done_before_she_leaves_is_listed_with_its_reason(visit):
    sandpiper = visit("sandpiper")
    lines = {job.due.interval.code: job.due for job in sandpiper.jobs}
    assert set(lines) == {"change", "look", "swap", "rig"}
    assert lines["change"].before_handover
    assert not lines["rig"].before_handover  # it may run over to the 9th, and she is back on the 6th
    assert sandpiper.minutes == 50 + 20 + 10 + 240


def test_a_printed_date_speaks_for_itself_and_a_line_without_a_day_is_not_on_the_weeks_list(visit):
    assert "raft" in tasks(visit("twice-shy").jobs)
    assert "raft" not in tasks(visit("blank-page").jobs) + tasks(visit("blank-page").never)


def test_never_recorded_lines_stand_apart(visit):
    blank = visit("blank-page")
    assert blank.jobs == ()
    assert tasks(blank.never) == ["change", "rig", "replace"]


@pytest.mark.parametrize(("minutes", "fits"), [(480, True), (481, False)])
def test_the_longest_job_is_held_against_the_gap(cast, visit, minutes, fits):
    cast.interval["rig"].minutes = minutes
    cast.interval["rig"].save()
    sandpiper = visit("sandpiper")
    assert sandpiper.gap.back == datetime.fromisoformat("2026-05-30T09:00")
    assert sandpiper.gap.leaves == datetime.fromisoformat("2026-05-30T17:00")
    assert (sandpiper.longest, sandpiper.fits) == (minutes, fits)


def test_a_charter_without_hours_is_taken_to_be_back_at_nine_and_out_at_five(cast, visit):
    cast.charter["T1"].back_at = None
    cast.charter["T1"].save()
    gap = visit("twice-shy").gap
    assert (gap.back, gap.leaves) == (
        datetime.fromisoformat("2026-05-28T09:00"),
        datetime.fromisoformat("2026-05-30T17:00"),
    )


def test_a_boat_never_out_before_has_all_the_time_there_is(visit):
    assert visit("blank-page").gap.back is None
    assert visit("blank-page").fits


def test_who_is_out_is_said(visit):
    assert visit("sandpiper").out
    assert not visit("twice-shy").out


def test_each_job_says_what_it_takes_and_where_that_lies(visit):
    (oil,) = next(job for job in visit("sandpiper").jobs if job.due.interval.code == "change").take
    assert (oil.spare.code, oil.quantity, oil.place.name, oil.there) == ("oil", Decimal("4.5"), "Store", True)


def test_a_part_of_which_too_few_lie_there_says_so_and_one_of_which_none_does_has_no_place(cast, visit, now):
    def take():
        jobs = visit("blank-page").never
        return next(job for job in jobs if job.due.interval.code == "replace").take[0]

    assert take().place == cast.place["store"]
    for interval_spare in cast.interval["replace"].spares.all():
        interval_spare.quantity = Decimal(2)
        interval_spare.save()
    assert not take().there
    assert take().place == cast.place["store"]
    use_spare(cast.spare["impeller kit"], cast.place["store"], quantity=Decimal(1), day=TODAY, at=now)
    assert take().place is None


def test_the_boats_own_locker_counts_and_anothers_does_not(cast, now):
    use_spare(cast.spare["impeller kit"], cast.place["store"], quantity=Decimal(1), day=TODAY, at=now)
    place = {
        name: next(
            job.take[0].place
            for job in boat_of(cast.base, cast.boat[name], TODAY).jobs
            + boat_of(cast.base, cast.boat[name], TODAY).never
            if job.due.interval.code == "replace"
        )
        for name in ("sandpiper", "blank page")
    }
    assert place == {"sandpiper": cast.place["sandpiper locker"], "blank page": None}


def test_what_is_away_is_on_the_list_and_says_so(cast, visit, now):
    send_away(cast.part["twice shy life-raft"], whom="Raft station", day=TODAY, at=now)
    raft = next(job for job in visit("twice-shy").jobs if job.due.interval.code == "raft")
    assert raft.away.sent.whom == "Raft station"


def test_open_defects_stand_with_their_boat(cast, visit, now):
    report_defect(cast.boat["sandpiper"], words="Heads pump leaks", at=now)
    assert [d.words for d in visit("sandpiper").defects] == ["Heads pump leaks"]


def test_a_boats_own_page_has_every_line_of_hers(cast):
    whole = boat_of(cast.base, cast.boat["sandpiper"], TODAY)
    assert sorted(tasks(whole.jobs)) == ["change", "look", "raft", "replace", "rig", "swap"]


def test_the_week_of_twenty_boats_asks_the_store_no_more_than_that_of_three(
    cast, django_assert_max_num_queries
):
    def asked() -> int:
        with django_assert_max_num_queries(40) as queries:
            week_of(cast.base, TODAY)
        return len(queries)

    three = asked()
    more_boats(cast, 17)
    found = week_of(cast.base, TODAY)
    assert sum(len(d.visits) for d in found.days) == 20
    assert asked() == three
