"""Holes that the state machine of releases found, each shown by itself."""

from datetime import date, timedelta

from maintenance.defects.actions import grade_defect, report_defect
from maintenance.defects.correcting import correct_defect, void_defect
from maintenance.defects.models import Defect
from maintenance.jobs.away import lend_aboard, send_away
from maintenance.release.facts import judge
from tests.cast import NOW, TODAY

SOON = {"at": NOW + timedelta(minutes=1)}


def test_a_correction_taken_back_leaves_the_grade_with_the_report(cast):
    told = report_defect(cast.boat["sandpiper"], words="The forestay is cracked", at=NOW)
    grade_defect(told, grade="unsafe", who="A. Fitter", **SOON)
    corrected = correct_defect(told, works="no", **SOON)
    void_defect(corrected, **SOON)
    [stands] = Defect.objects.open().judged().filter(boat=cast.boat["sandpiper"])
    assert (stands.case, stands.works, stands.grade) == (told.pk, "", "unsafe")


def held_by(cast):
    boat = cast.boat["twice shy"]
    how = judge(boat, None, base=cast.base, on=TODAY, now=NOW)
    return [(r.code, r.words.split(": ")[1]) for r in how.standing.reasons]


def test_a_raft_away_holds_her_by_the_date_on_the_lent_one(cast):
    raft, soon = cast.part["twice shy life-raft"], {"at": NOW, "day": TODAY}
    assert held_by(cast) == [("service", "Raft, Life raft")]
    send_away(raft, whom="Station", **soon)
    assert held_by(cast) == [("service", "Raft, Life raft")], "nothing stands in for it"
    lend_aboard(raft, whom="Station", serial="7", good_through=date(2026, 6, 5), **soon)
    assert held_by(cast) == [("service", "Raft, Life raft")], "she is back on the 6th"
    lend_aboard(raft, whom="Station", serial="8", good_through=date(2026, 6, 6), **soon)
    assert held_by(cast) == []
