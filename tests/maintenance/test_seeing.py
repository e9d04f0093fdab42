"""What the base has seen of what came by links: by opening it, or by whatever it did about it."""

from datetime import timedelta

import pytest

from fleet.charters.links import make_link
from fleet.people.cleaners import make_cleaners_link
from maintenance.defects.actions import (
    answer_report,
    end_defect,
    grade_defect,
    look_at,
    report_defect,
    say_if_happening,
    see_report,
)
from maintenance.defects.correcting import correct_defect, join_defect, take_back_step
from maintenance.defects.models import Defect, DefectStep
from maintenance.jobs.call_out import Call, open_call_out
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.by_cleaners import Seen, report_by_cleaners
from maintenance.turnaround.by_link import Told, report_by_link, return_by_link
from maintenance.turnaround.by_phone import Kept, return_by_phone
from maintenance.turnaround.models import ReturnSeen
from maintenance.turnaround.seeing import (
    returns_seen_at,
    see_return,
    seen_at,
    unseen_reports,
    unseen_returns,
)
from tests.cast import NOW, TODAY

LATER, LATER_STILL = NOW + timedelta(minutes=20), NOW + timedelta(hours=3)


@pytest.fixture
def link(cast):
    return make_link(cast.charter["S2"], at=NOW)[0]


@pytest.fixture
def report(cast, link):
    return report_by_link(link, cast.boat["sandpiper"], Told(words="Heads pump leaks"), at=NOW)


def back(cast, link, **more):
    said = Report(filed_by="skipper", day=TODAY, reporter="A. Skipper", **more)
    return return_by_link(link, cast.boat["sandpiper"], said, at=NOW)


def is_unseen(cast, report) -> bool:
    return report in unseen_reports([cast.boat["sandpiper"].pk])


def test_a_report_is_seen_once_by_the_first_who_opens_it(cast, report):
    assert is_unseen(cast, report)
    assert seen_at([report.pk]) == {}
    first = see_report(report, who="Tome", at=LATER, by=cast.person["engineer"])
    again = see_report(report, who="Ilda", at=LATER_STILL, by=cast.person["manager"])
    assert again == first
    assert seen_at([report.pk]) == {report.pk: LATER}
    assert not is_unseen(cast, report)


def test_a_report_is_new_again_where_that_it_was_seen_is_taken_back(cast, report):
    take_back_step(see_report(report, who="Tome", at=LATER), at=LATER_STILL)
    assert is_unseen(cast, report)
    assert seen_at([report.pk]) == {}


ACTS = {
    "graded": lambda cast, row: grade_defect(row, grade="watch", who="Tome", at=LATER),
    "looked at": lambda cast, row: look_at(row, who="Tome", seen="Wet", nothing=False, at=LATER),
    "answered": lambda cast, row: answer_report(row, words="We come", who="Tome", at=LATER),
    "put right": lambda cast, row: end_defect(row, step="put right", who="Tome", at=LATER),
    "corrected": lambda cast, row: correct_defect(row, works="no", at=LATER, by=cast.person["engineer"]),
    "called out for": lambda cast, row: open_call_out(
        row.boat, Call(where="Blue bay", told_at=NOW), defects=[row], at=LATER
    ),
}


@pytest.mark.parametrize("act", ACTS)
def test_what_the_base_does_about_a_report_shows_that_it_was_seen(cast, report, act):
    ACTS[act](cast, report)
    assert seen_at([report.pk]) == {report.pk: LATER}
    assert not is_unseen(cast, report)


def test_a_grade_taken_back_was_seen_all_the_same(cast, report):
    step = grade_defect(report, grade="watch", who="Tome", at=LATER)
    take_back_step(step, at=LATER_STILL)
    assert seen_at([report.pk]) == {report.pk: LATER}


def test_what_the_sender_says_after_it_shows_nothing(cast, report):
    say_if_happening(report, happening=False, at=LATER)
    assert is_unseen(cast, report)
    assert seen_at([report.pk]) == {}


def test_both_of_two_reports_that_are_joined_were_seen(cast, link, report):
    other = report_by_link(link, cast.boat["sandpiper"], Told(words="Pump of the heads drips"), at=NOW)
    join_defect(other, report, at=LATER, by=cast.person["engineer"])
    assert seen_at([report.pk, other.pk]) == {report.pk: LATER, other.pk: LATER}
    assert not unseen_reports([cast.boat["sandpiper"].pk]).exists()


def test_what_the_base_wrote_down_itself_is_new_to_nobody(cast):
    own = report_defect(cast.boat["sandpiper"], words="Fender lost", at=NOW, by=cast.person["office"])
    assert not is_unseen(cast, own)


def test_what_a_cleaner_saw_is_new_until_it_is_seen(cast):
    link = make_cleaners_link(cast.base, at=NOW, by=cast.person["manager"])[0]
    row = report_by_cleaners(
        link, cast.boat["sandpiper"], Seen(words="Oven door loose"), at=NOW, client_id="a"
    )
    assert is_unseen(cast, row)
    see_report(row, who="Tome", at=LATER)
    assert not is_unseen(cast, row)


def test_a_return_is_seen_once_and_so_is_what_came_with_it(cast, link):
    filed = back(cast, link, defects=["Winch slips"])
    told = Defect.objects.get(words="Winch slips")
    assert list(unseen_returns([cast.boat["sandpiper"].pk])) == [filed]
    assert not is_unseen(cast, told)  # its return is
    first = see_return(filed, who="Tome", at=LATER, by=cast.person["engineer"])
    assert see_return(filed, who="Ilda", at=LATER_STILL) == first == ReturnSeen.objects.get()
    assert returns_seen_at([filed.pk]) == {filed.pk: LATER}
    assert seen_at([told.pk]) == {told.pk: LATER}
    assert not unseen_returns([cast.boat["sandpiper"].pk]).exists()


def test_asking_when_takes_as_many_queries_for_thirty_as_for_one(
    cast, link, report, django_assert_num_queries
):
    many = [
        report_defect(cast.boat["sandpiper"], words=f"Thing {n}", at=NOW, reporter="Mate") for n in range(29)
    ]
    for row in many:
        see_report(row, who="Tome", at=LATER)
    cases = [report.pk, *(row.pk for row in many)]
    with django_assert_num_queries(5):
        assert len(seen_at(cases)) == 29
    assert DefectStep.objects.count() == 29


def test_a_return_from_before_the_base_checked_her_out_is_no_news(cast):
    charter = cast.charter["S2"]
    boat, link = charter.boat, make_link(charter, at=NOW)[0]
    told = Report(filed_by="skipper", day=TODAY, defects=["The pump leaks"])
    kept = Kept("made-on-a-phone", NOW, NOW)
    filed = return_by_phone(link, boat, told, kept, at=NOW)
    assert list(unseen_returns([boat.pk])) == [filed]
    out = Report(filed_by="base", day=TODAY)
    file_return(boat, charter, out, at=NOW + timedelta(hours=1))
    assert list(unseen_returns([boat.pk])) == []
