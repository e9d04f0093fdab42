"""A thing sent away is not done: away to whom, a lent one aboard, back with its paper are three facts."""

from datetime import date, timedelta

import pytest

from fleet.boats.actions import remove_component
from fleet.boats.dates import DateNotClear
from maintenance.jobs.actions import WorkRefused, take_back_job
from maintenance.jobs.away import away_now, back_with_paper, lend_aboard, send_away
from maintenance.jobs.models import AwayStep, Job
from tests.cast import TODAY, due_list_holds

RAFT = ("twice shy life-raft", "raft")


@pytest.fixture
def raft(cast):
    return cast.part["twice shy life-raft"]


@pytest.fixture
def sent(cast, raft, now) -> AwayStep:
    return send_away(
        raft,
        whom="Raft station",
        day=date(2026, 5, 26),
        wanted_back_on=date(2026, 5, 29),
        at=now,
        by=cast.person["engineer"],
    )


@pytest.fixture
def come_back(cast, now):
    def come_back(printed="2027-05-27", client_id=None, at=now) -> Job:
        return back_with_paper(
            [cast.task(*RAFT)],
            day=date(2026, 5, 27),
            paper="RS-4471",
            printed=printed,
            at=at,
            client_id=client_id,
        )

    return come_back


def away(raft):
    return away_now([raft.pk]).get(raft.pk)


def test_sent_away_says_to_whom_and_its_line_stays_due(cast, raft, sent):
    before = cast.due(*RAFT).due_on
    assert (away(raft).sent.whom, away(raft).lent) == ("Raft station", None)
    assert cast.due(*RAFT).due_on == before == date(2026, 6, 2)
    assert due_list_holds()


def test_a_lent_one_aboard_is_said_with_its_own_date_and_moves_nothing(cast, raft, sent, now):
    lend_aboard(raft, whom="Raft station", serial="L-09", good_through=date(2027, 1, 31), day=TODAY, at=now)
    assert (away(raft).lent.serial, away(raft).lent.good_through) == ("L-09", date(2027, 1, 31))
    assert cast.due(*RAFT).due_on == date(2026, 6, 2)
    assert due_list_holds()


def test_back_with_its_paper_moves_the_line_and_it_is_away_no_more(cast, raft, sent, come_back):
    job = come_back()
    raft_line = cast.due(*RAFT)
    assert (raft_line.due_on, raft_line.recorded) == (date(2027, 5, 27), True)
    assert job.services.get().service.done_on == date(2026, 5, 27)
    assert away(raft) is None
    assert AwayStep.objects.get(step="back with its paper").paper == "RS-4471"
    assert due_list_holds()


def test_back_without_the_date_now_printed_on_it_is_refused_and_keeps_nothing(raft, sent, come_back):
    with pytest.raises(WorkRefused, match="printed: wanted the date now printed on it"):
        come_back(printed="")
    assert away(raft) is not None
    assert not Job.objects.exists()


def test_back_taken_back_means_away_again_and_due_again(cast, raft, sent, come_back, now):
    take_back_job(come_back(), at=now)
    assert away(raft).sent == sent
    assert cast.due(*RAFT).due_on == date(2026, 6, 2)
    assert due_list_holds()


def test_back_sent_twice_is_kept_once(sent, come_back):
    assert come_back(client_id="back-1") == come_back(client_id="back-1")
    assert AwayStep.objects.filter(step="back with its paper").count() == 1


def test_a_paper_whose_date_could_mean_two_days_keeps_nothing(cast, raft, sent, come_back):
    with pytest.raises(DateNotClear):
        come_back(printed="03/04/2027")
    assert away(raft) is not None
    assert not Job.objects.exists()
    assert due_list_holds()


def test_a_thing_goes_away_again_another_time_though_it_left_on_an_earlier_day(raft, sent, come_back, now):
    come_back()
    send_away(raft, whom="Another station", day=date(2026, 5, 27), at=now)
    assert away(raft).sent.whom == "Another station"


def test_what_is_away_is_not_sent_again_and_what_is_aboard_neither_lent_for_nor_back(cast, raft, sent, now):
    with pytest.raises(WorkRefused, match="twice-shy-life-raft is away already"):
        send_away(raft, whom="Another", day=TODAY, at=now)
    aboard = cast.part["sandpiper life-raft"]
    with pytest.raises(WorkRefused, match="is not away, so nothing stands in for it"):
        lend_aboard(aboard, whom="X", serial="1", good_through=None, day=TODAY, at=now)
    with pytest.raises(WorkRefused, match="sandpiper-life-raft is not away"):
        back_with_paper(
            [cast.task("sandpiper life-raft", "raft")], day=TODAY, paper="P", printed="2027-05", at=now
        )


def test_nothing_leaves_or_comes_aboard_on_a_day_to_come(cast, raft, sent, now):
    tomorrow = TODAY + timedelta(days=1)
    with pytest.raises(WorkRefused, match="day: wanted a day up to today"):
        send_away(cast.part["sandpiper life-raft"], whom="X", day=tomorrow, at=now)
    with pytest.raises(WorkRefused, match="day: wanted a day up to today"):
        lend_aboard(raft, whom="X", serial="1", good_through=None, day=tomorrow, at=now)


def test_what_is_fitted_nowhere_is_not_sent_away(cast, now):
    raft = cast.part["sandpiper life-raft"]
    remove_component(raft, on=TODAY, at=now)
    with pytest.raises(WorkRefused, match="is not fitted to a boat"):
        send_away(raft, whom="X", day=TODAY, at=now)
