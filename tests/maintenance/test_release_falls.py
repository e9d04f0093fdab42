"""What fells a release, by an act or by itself, and what never brings it back."""

from datetime import date

import pytest

from fleet.charters.actions import change_boat
from maintenance.defects.actions import end_defect, grade_defect, look_at, report_defect, say_if_happening
from maintenance.defects.correcting import join_defect, take_back_step
from maintenance.defects.deferring import Until, defer_defect, extend_deferral
from maintenance.defects.looking import record_look, record_touch
from maintenance.release.actions import ReleaseRefused, hold_boat, lift_hold
from maintenance.release.facts import judge
from maintenance.release.rule_list import TWO
from tests.cast import NOW, TODAY
from tests.maintenance.to_release import ILDA, TOME, at, release


# What is made to hold her after she was released, and how it is settled
def _unsafe(cast, boat):
    row = report_defect(boat, words="Stiff", at=at(31))
    grade_defect(row, grade="unsafe", who="Tome", at=at(32))
    return lambda: end_defect(row, step="put right", who="Tome", at=at(33))


def _alarm(cast, boat):
    row = report_defect(boat, words="Smoke from the engine", at=at(31))
    return lambda: look_at(row, who="Tome", seen="Steam", nothing=True, at=at(33))


def _hold(cast, boat):
    row = hold_boat(boat, why="The owner is aboard", who="Ilda", at=at(31))
    return lambda: lift_hold(row, why="He has left", who="Ilda", at=at(33))


def _touch(cast, boat):
    row = record_touch(boat, day=TODAY, touched="hull", force="soft", at=at(31))
    said = {"day": TODAY, "who": "Nuno", "method": "diver", "seen": "A scratch"}
    return lambda: record_look(boat, touch=row, sound=True, at=at(33), **said)


def _not_sound(cast, boat):
    said = {"day": TODAY, "who": "Nuno", "method": "diver"}
    record_look(boat, seen="Rudder loose", sound=False, at=at(31), **said)
    return lambda: record_look(boat, seen="Rudder fast", sound=True, at=at(33), **said)


def _two(cast, boat):
    rows = [report_defect(boat, words=words, at=at(31)) for words in ("Pump", "Radio")]
    for row, function in zip(rows, ("bilge", "radio"), strict=True):
        grade_defect(row, grade="limits use", function=function, who="Tome", at=at(32))
    return lambda: end_defect(rows[0], step="put right", who="Tome", at=at(33))


def _deferral(cast, boat):
    row = report_defect(boat, words="Fridge", at=at(31))
    grade_defect(row, grade="limits use", who="Tome", at=at(31))
    waits = defer_defect(row, Until(day=date(2026, 6, 3)), who="Tome", limit="No ice", at=at(32))
    until = Until(day=date(2026, 6, 20))
    return lambda: extend_deferral(waits, until, who="Tome", why="The part is late", at=at(33))


HELD_SINCE = [_unsafe, _alarm, _hold, _touch, _not_sound, _two, _deferral]


@pytest.mark.parametrize("happens", HELD_SINCE)
def test_a_release_falls_by_what_holds_her_since_and_does_not_come_back_when_it_is_settled(
    cast, boat, stands, happens
):
    release(cast, boat)
    settle = happens(cast, boat)
    assert (stands().standing.verdict, stands().standing.fell) == ("held", True)
    settle()
    assert (stands().standing.verdict, stands().standing.fell, stands().standing.reasons) == ("", True, ())
    release(cast, boat, TOME, ILDA, minutes=40)
    assert stands().standing.verdict in ("fit", "fit with limits")


@pytest.mark.parametrize("happens", HELD_SINCE)
def test_every_reason_of_theirs_names_a_way_out_one_person_can_take(cast, boat, stands, happens):
    happens(cast, boat)
    assert all(reason.way_out for reason in stands().standing.reasons)


def test_an_end_that_was_taken_back_fells_a_release(cast, boat, stands, unsafe):
    step = end_defect(unsafe, step="put right", who="Tome", at=at(2))
    release(cast, boat, TOME, ILDA)
    take_back_step(step, at=at(31))
    assert (stands().standing.verdict, stands().standing.fell) == ("held", True)
    end_defect(unsafe, step="put right", who="Tome", at=at(32))
    assert stands().standing.verdict == ""


def test_a_danger_that_is_there_again_after_a_look_wants_another_look(cast, boat, stands):
    row = report_defect(boat, words="Smoke from the engine", at=at(0))
    look_at(row, who="Tome", seen="Steam of a wet hose", nothing=False, at=at(5))
    release(cast, boat)
    say_if_happening(row, happening=True, at=at(31))
    assert (stands().standing.verdict, stands().standing.fell) == ("held", True)


def test_an_alarm_joined_to_another_report_is_looked_at_first(cast, boat, stands):
    one = report_defect(boat, words="Smoke from the engine", at=at(0))
    other = report_defect(boat, words="Engine looks odd", at=at(1))
    with pytest.raises(ValueError, match="alarm of its own"):
        join_defect(one, other, at=at(2))
    assert stands().standing.verdict == "held"


def test_a_touch_holds_her_though_what_it_was_reported_as_has_ended(cast, boat, stands):
    row = report_defect(boat, words="Touched the bottom", at=at(0))
    record_touch(boat, day=TODAY, defect=row, at=at(0))
    end_defect(row, step="no fault found", who="Tome", at=at(1))
    assert [r.code for r in stands().standing.reasons] == ["touched"]


def test_a_release_is_for_one_charter(cast, boat, stands):
    release(cast, boat, charter="S3")
    assert stands(charter=cast.charter["S3"]).standing.verdict == "fit"
    assert stands(charter=cast.charter["S4"]).standing.verdict == ""


def test_a_release_does_not_follow_a_charter_to_another_boat_nor_wait_for_it_to_come_back(cast, boat, stands):
    release(cast, boat, charter="S4", minutes=1)
    charter, other = cast.charter["S4"], cast.boat["twice shy"]
    why = {"from_on": charter.starts_on, "why": "x"}
    change_boat(charter, other, at=at(2), **why)
    assert judge(other, charter, base=cast.base, on=TODAY, now=at(3)).release is None
    with pytest.raises(ReleaseRefused, match="charter: wanted a charter Sandpiper is booked for"):
        release(cast, boat, charter="S4")
    change_boat(charter, boat, at=at(4), **why)
    assert (stands(charter=charter).standing.verdict, stands(charter=charter).standing.fell) == ("", True)


def test_a_charter_that_ends_later_than_it_did_is_judged_to_its_new_end(cast, boat, stands):
    row = report_defect(boat, words="Fridge", at=at(0))
    grade_defect(row, grade="limits use", who="Tome", at=at(1))
    defer_defect(row, Until(day=date(2026, 6, 6)), who="Tome", limit="No ice", at=at(2))
    release(cast, boat)
    charter = cast.charter["S3"]
    cast.charter["S4"].delete()
    charter.ends_on = date(2026, 6, 8)
    charter.save()
    assert (stands().standing.verdict, stands().standing.fell) == ("held", True)


def test_a_charter_called_off_or_over_is_released_for_by_nobody(cast, boat):
    charter = cast.charter["S3"]
    charter.cancelled_at = at(0)
    charter.save()
    with pytest.raises(ReleaseRefused, match="charter: wanted"):
        release(cast, boat)
    with pytest.raises(ReleaseRefused, match="not over"):
        release(cast, boat, charter="S1")


def test_a_boat_without_a_charter_to_come_is_judged_and_has_no_release(cast, boat, unsafe):
    cast.charter["S3"].delete()
    cast.charter["S4"].delete()
    found = judge(boat, None, base=cast.base, on=TODAY, now=NOW)
    assert (found.charter, found.release, found.standing.verdict) == (None, None, "held")


def test_two_together_put_right_since_wants_two_names_too(cast, boat, stands):
    settle = _two(cast, boat)
    settle()
    assert TWO in stands().ship.settled
    assert stands().names_needed == 2
