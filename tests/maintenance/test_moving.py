"""A report on the wrong boat: put on the right one with its words and its history, and back again."""

from datetime import timedelta

import pytest

from fleet.charters.links import make_link
from fleet.ledger import latest
from maintenance.defects.actions import answer_report, end_defect, grade_defect, look_at
from maintenance.defects.correcting import correct_defect, join_defect, void_defect
from maintenance.defects.models import Defect, DefectPaper
from maintenance.jobs.call_out import Call, open_call_out
from maintenance.release.facts import judge
from maintenance.release.rule_list import ALARM
from maintenance.turnaround.by_link import Told, report_by_link
from maintenance.turnaround.facts import waiting_for_an_answer
from maintenance.turnaround.moving import MoveRefused, came_from, move_back, move_report
from maintenance.turnaround.seeing import seen_at
from tests.cast import NOW, TODAY
from tests.papers import encoded, painted

LATER = NOW + timedelta(minutes=30)


@pytest.fixture
def right(cast):
    return cast.boat["twice shy"]


@pytest.fixture
def report(cast):
    link = make_link(cast.charter["S2"], at=NOW)[0]
    told = Told(
        words="Burning smell below",
        place=cast.place["sandpiper locker"],
        photos=[encoded(painted())],
        language="de",
        reporter="Mate",
    )
    return report_by_link(link, cast.boat["sandpiper"], told, at=NOW)


def test_a_report_goes_to_another_boat_with_its_words_its_photo_and_its_alarm(cast, report, right):
    moved = move_report(report, right, at=LATER, by=cast.person["engineer"])
    assert (moved.boat, moved.words, moved.language, moved.reporter) == (
        right,
        report.words,
        "de",
        "Mate",
    )
    assert moved.alarm == report.alarm != ""
    assert (moved.replaces, moved.recorded_by) == (report, cast.person["engineer"])
    assert list(Defect.objects.open()) == [moved]
    assert moved.place is None  # it was a place aboard the other boat
    assert DefectPaper.objects.filter(defect=moved).count() == 1


def test_its_alarm_holds_the_boat_it_goes_to_and_fells_her_release_though_it_is_looked_at_later(
    cast, report, right
):
    def alarms(boat) -> list[str]:
        standing = judge(boat, None, base=cast.base, on=TODAY, now=LATER).standing
        return [reason.key for reason in standing.reasons if reason.code == ALARM]

    assert (len(alarms(report.boat)), alarms(right)) == (1, [])
    moved = move_report(report, right, at=LATER)
    assert (alarms(report.boat), len(alarms(right))) == ([], 1)
    look_at(moved, who="Tome", seen="Hot breaker", nothing=True, at=LATER)
    ship = judge(right, None, base=cast.base, on=TODAY, now=LATER).ship
    assert (f"{ALARM}:{moved.pk}:0", LATER) in [(each.key, each.at) for each in ship.arisen]


def test_its_sender_still_waits_for_an_answer_and_reads_that_it_was_seen(cast, report, right):
    moved = move_report(report, right, at=LATER, by=cast.person["engineer"])
    assert waiting_for_an_answer([right.pk]) == [moved]
    assert seen_at([report.pk]) == {report.pk: LATER}
    corrected = correct_defect(moved, works="no", at=LATER)
    assert waiting_for_an_answer([right.pk]) == [corrected]
    answer_report(corrected, words="We come", who="Tome", at=LATER)
    assert waiting_for_an_answer([right.pk]) == []


def test_a_move_back_puts_it_where_it_was(cast, report, right):
    moved = move_report(correct_defect(report, works="no", at=NOW), right, at=LATER)
    back = move_back(moved, at=LATER)
    assert (back.boat, back.place, back.case) == (report.boat, report.place, report.pk)
    assert came_from(back) is None
    assert latest(report) == back
    again = move_report(back, right, at=LATER)
    assert came_from(again) == back


def test_taking_a_move_back_as_any_correction_does_the_same(cast, report, right):
    moved = move_report(report, right, at=LATER)
    look_at(moved, who="Tome", seen="Hot breaker", nothing=False, at=LATER)
    back = void_defect(moved, at=LATER)
    assert (back.boat, back.case) == (report.boat, report.pk)
    assert Defect.objects.not_looked_at().get() == back  # nobody looked aboard her


REFUSED = {
    "graded": lambda cast, row: grade_defect(row, grade="watch", who="Tome", at=LATER),
    "looked at": lambda cast, row: look_at(row, who="Tome", seen="Wet", nothing=False, at=LATER),
    "put right": lambda cast, row: end_defect(row, step="put right", who="Tome", at=LATER),
    "called out": lambda cast, row: open_call_out(
        row.boat, Call(where="Blue bay", told_at=NOW), defects=[row], at=LATER
    ),
    "joined": lambda cast, row: join_defect(_other(cast), row, at=LATER),
}


def _other(cast):
    link = make_link(cast.charter["S2"], at=NOW)[0]
    return report_by_link(link, cast.boat["sandpiper"], Told(words="It smells"), at=NOW)


@pytest.mark.parametrize("act", REFUSED)
def test_what_was_judged_aboard_one_boat_is_not_taken_for_said_of_another(cast, report, right, act):
    REFUSED[act](cast, report)
    with pytest.raises(MoveRefused):
        move_report(report, right, at=LATER)
    assert report in Defect.objects.standing()


def test_only_another_boat_of_the_same_base_will_do_and_one_move(cast, report, right):
    for boat in (report.boat, cast.boat["far cry"]):
        with pytest.raises(MoveRefused, match="another boat of the same base"):
            move_report(report, boat, at=LATER)
    moved = move_report(report, right, at=LATER)
    with pytest.raises(MoveRefused, match="moved already"):
        move_report(moved, cast.boat["blank page"], at=LATER)
    with pytest.raises(MoveRefused, match="was not moved"):
        move_back(_other(cast), at=LATER)
