"""What holds a boat: each rule on, settled and off, with a way out for one person alone; and a release."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from types import SimpleNamespace

import pytest

from maintenance.defects.rules import ASHORE, DIVER, LIMITS_USE, UNSAFE, WATCH, Look, Waits
from maintenance.release import known
from maintenance.release.chains import chains
from maintenance.release.known import Arisen, OpenDefect, Ship, Touched, Trip
from maintenance.release.rule_list import (
    ALARM,
    BY_CODE,
    DEFERRAL,
    FIT,
    GEAR,
    HELD,
    NAMED,
    PAPER,
    READY,
    SERVICE,
    TOUCH,
    TWO,
    WITH_LIMITS,
)
from maintenance.release.rules import may_sail, names_needed, warnings
from maintenance.release.standing import Said, standing
from maintenance.safety.short import Lacking

ON = date(2026, 5, 28)
TRIP = Trip(3, date(2026, 5, 30), date(2026, 6, 6), "S3")
SAID_AT = datetime(2026, 5, 28, 13, 0, tzinfo=UTC)
LATER, EARLIER = SAID_AT + timedelta(minutes=5), SAID_AT - timedelta(minutes=5)
GOOD = Ship(1, "Sandpiper", ON)
UNSAFE_ONE = OpenDefect(7, "Steering is stiff", grade=UNSAFE, step=70, row=7)
BILGE = OpenDefect(8, "Bilge pump", grade=LIMITS_USE, step=80, function="bilge", row=8)
RADIO = OpenDefect(9, "Radio", grade=LIMITS_USE, step=90, function="radio", row=9)
RAFT = Lacking(5, "offshore", "Life raft", 1, 0, True, "the list")
SERVICED = known.Critical(1, 2, "Change the belt", "Drive belt", date(2026, 6, 3), False, True)


def waits(until_on: date | None = None, **more) -> OpenDefect:
    return OpenDefect(7, "Fridge", grade=LIMITS_USE, step=70, waits=Waits(until_on, key=4, **more), row=7)


# What holds her, by rule; and the same ship with it settled.
HOLDS = {
    ALARM: (
        Ship(1, "S", ON, defects=(OpenDefect(7, "Smell of gas", unlooked=True, row=7),)),
        Ship(1, "S", ON, defects=(OpenDefect(7, "Smell of gas", row=7),)),
    ),
    UNSAFE: (
        Ship(1, "S", ON, defects=(UNSAFE_ONE,)),
        Ship(1, "S", ON, defects=(replace(UNSAFE_ONE, grade=WATCH),)),
    ),
    NAMED: (Ship(1, "S", ON, kept=(known.Kept(4, "Owner aboard", "Ilda"),)), GOOD),
    TOUCH: (
        Ship(1, "S", ON, touches=(Touched("4", ON, "hull", "soft"),)),
        Ship(1, "S", ON, touches=(Touched("4", ON, "hull", "soft", (Look(ON, DIVER, True),)),)),
    ),
    TWO: (Ship(1, "S", ON, defects=(BILGE, RADIO)), Ship(1, "S", ON, defects=(BILGE,))),
    DEFERRAL: (
        Ship(1, "S", ON, defects=(waits(date(2026, 6, 5)),)),
        Ship(1, "S", ON, defects=(waits(date(2026, 6, 6)),)),
    ),
    SERVICE: (
        Ship(1, "S", ON, critical=(SERVICED,)),
        Ship(1, "S", ON, critical=(replace(SERVICED, limit_on=date(2026, 6, 6)),)),
    ),
    GEAR: (Ship(1, "S", ON, short=(RAFT,)), Ship(1, "S", ON, short=(replace(RAFT, adopted=False),))),
    READY: (Ship(1, "S", ON, ready=False), GOOD),
    PAPER: (Ship(1, "S", ON, opened=(known.Opened(4, "fixed gas", "Leak at the cooker", 7),)), GOOD),
}


def codes(ship: Ship, trip: Trip | None = TRIP, rules=BY_CODE) -> list[str]:
    return [r.code for r in may_sail(ship, trip, rules)]


def test_every_rule_of_the_list_is_tried_here():
    assert set(HOLDS) == set(BY_CODE)


@pytest.mark.parametrize("code", HOLDS)
def test_a_rule_holds_her_and_she_goes_once_it_is_settled(code):
    holds, settled = HOLDS[code]
    assert codes(holds) == [code]
    assert codes(settled) == []


@pytest.mark.parametrize("code", HOLDS)
def test_each_reason_says_what_it_is_and_a_way_out(code):
    (reason,) = may_sail(HOLDS[code][0], TRIP)
    assert reason.words
    assert reason.way_out
    assert reason.key.startswith(f"{code}:")


@pytest.mark.parametrize("code", HOLDS)
def test_a_rule_switched_off_holds_nothing_but_the_alarm_always_does(code):
    off = dict(BY_CODE) | {code: replace(BY_CODE[code], on=False)}
    assert codes(HOLDS[code][0], rules=off) == ([ALARM] if code == ALARM else [])


@pytest.mark.parametrize("code", HOLDS)
def test_all_but_the_alarm_can_be_let_be_by_name(code):
    (reason,) = may_sail(HOLDS[code][0], TRIP)
    assert reason.can_be_let_be == (code != ALARM)
    said = Said(WITH_LIMITS, SAID_AT, frozenset({reason.key}))
    how = standing(HOLDS[code][0], TRIP, said)
    if code != ALARM:
        assert (how.verdict, how.reasons, how.let_be) == (WITH_LIMITS, (), (reason,))


def test_every_reason_is_given_not_the_first_alone():
    every = Ship(
        1, "S", ON, defects=(UNSAFE_ONE, BILGE, RADIO), kept=(known.Kept(4, "x", "y"),), short=(RAFT,)
    )
    assert codes(every) == [UNSAFE, NAMED, TWO, GEAR]


# Where keel or force demand it, ashore: MAIB reports 8/2015 and 13/2019 (see defects/rules.py).
@pytest.mark.parametrize(("touched", "force"), [("keel", "soft"), ("hull", "hard"), ("rudder", "stuck")])
def test_a_hard_touch_or_one_of_the_keel_is_settled_ashore_only(touched, force):
    def looked(method: str) -> Ship:
        return Ship(1, "S", ON, touches=(Touched("4", ON, touched, force, (Look(ON, method, True),)),))

    assert codes(looked(DIVER)) == [TOUCH]
    assert codes(looked(ASHORE)) == []


def test_a_look_of_no_touch_that_found_her_not_sound_holds_her_until_one_finds_her_sound():
    found = Touched("look 3", ON, "", "", (), found=True)
    (reason,) = may_sail(replace(GOOD, touches=(found,)), TRIP)
    assert "not sound" in reason.words
    assert codes(replace(GOOD, touches=(replace(found, looks=(Look(ON, DIVER, True),)),))) == []


def test_two_count_only_among_what_keeps_her_afloat_found_and_steered_and_at_a_grade_that_says_so():
    assert codes(Ship(1, "S", ON, defects=(BILGE, replace(RADIO, function="fridge")))) == []
    assert codes(Ship(1, "S", ON, defects=(BILGE, replace(RADIO, grade=WATCH)))) == []


def test_a_deferral_that_lasts_so_many_charters_holds_once_they_have_gone_out():
    assert codes(Ship(1, "S", ON, defects=(waits(max_charters=1, out_since=0),))) == []
    assert codes(Ship(1, "S", ON, defects=(waits(max_charters=1, out_since=1),))) == [DEFERRAL]


def test_a_deferral_until_lay_up_holds_where_she_is_laid_up_before_she_is_back():
    until = replace(GOOD, defects=(waits(at_layup=True),))
    assert codes(until) == []
    assert codes(replace(until, layup_on=date(2026, 6, 5))) == [DEFERRAL]


def test_without_a_charter_a_deferral_holds_from_the_day_after_its_last():
    assert codes(Ship(1, "S", ON, defects=(waits(ON),)), None) == []
    assert codes(Ship(1, "S", ON, defects=(waits(ON - timedelta(days=1)),)), None) == [DEFERRAL]


def test_a_critical_service_never_recorded_warns_and_holds_nothing():
    ship = Ship(1, "S", ON, critical=(replace(SERVICED, recorded=False, overdue=True),))
    assert codes(ship) == []
    assert warnings(ship, TRIP) == ("Never recorded: Change the belt, Drive belt",)


def test_a_critical_service_already_past_its_limit_holds_without_a_charter_too():
    assert codes(Ship(1, "S", ON, critical=(replace(SERVICED, overdue=True),)), None) == [SERVICE]


def test_gear_short_of_a_list_she_does_not_go_by_is_a_warning():
    ship = Ship(1, "S", ON, short=(replace(RAFT, adopted=False),))
    assert "Life raft: 1 wanted, 0 in date aboard (offshore, a list she does not go by)" in warnings(
        ship, TRIP
    )


def test_what_is_not_graded_and_what_is_neither_deferred_nor_put_right_warns():
    ship = Ship(1, "S", ON, defects=(replace(BILGE, grade=""), RADIO))
    assert warnings(ship, TRIP) == ("Not graded yet: Bilge pump", "Neither deferred nor put right: Radio")


def test_she_is_held_with_reasons_and_not_released_without():
    assert standing(GOOD, TRIP, None).verdict == ""
    assert standing(HOLDS[UNSAFE][0], TRIP, None).verdict == HELD


def test_a_release_stands_while_nothing_holds_her():
    assert standing(GOOD, TRIP, Said(FIT, SAID_AT)).verdict == FIT


def test_a_fit_boat_with_a_limit_deferred_since_is_fit_with_limits():
    limited = replace(GOOD, defects=(replace(waits(date(2026, 7, 1)), limit="No shore power"),))
    assert standing(limited, TRIP, Said(FIT, SAID_AT)).verdict == WITH_LIMITS


@pytest.mark.parametrize("code", HOLDS)
def test_a_release_falls_when_something_new_holds_her(code):
    how = standing(HOLDS[code][0], TRIP, Said(FIT, SAID_AT))
    assert (how.verdict, how.fell, [r.code for r in how.reasons]) == (HELD, True, [code])


def test_a_release_that_fell_by_an_act_does_not_come_back_when_it_is_settled():
    held_since = replace(GOOD, arisen=(Arisen("unsafe:7:70", LATER),))
    how = standing(held_since, TRIP, Said(FIT, SAID_AT))
    assert (how.verdict, how.fell) == ("", True)
    held_before = replace(GOOD, arisen=(Arisen("unsafe:7:70", EARLIER),))
    assert standing(held_before, TRIP, Said(FIT, SAID_AT)).verdict == FIT


def test_a_deferral_decided_since_that_does_not_last_fells_a_release_and_one_that_lasts_does_not():
    def decided(until: date) -> Ship:
        return replace(GOOD, arisen=(Arisen("deferral ends:7:4", LATER, Waits(until)),))

    assert standing(decided(date(2026, 6, 5)), TRIP, Said(FIT, SAID_AT)).fell
    assert not standing(decided(date(2026, 6, 6)), TRIP, Said(FIT, SAID_AT)).fell


def test_a_release_of_verdict_held_is_a_reason_itself_and_its_way_out_is_a_release():
    how = standing(GOOD, TRIP, Said(HELD, SAID_AT, why="Waits for the surveyor", by="Ilda"))
    (reason,) = how.reasons
    assert (how.verdict, reason.words) == (HELD, "Held by Ilda: Waits for the surveyor")
    assert reason.said
    assert reason.way_out


def test_a_grade_given_again_is_another_reason_than_the_one_let_be():
    said = Said(WITH_LIMITS, SAID_AT, frozenset({"unsafe:7:70"}))
    assert standing(HOLDS[UNSAFE][0], TRIP, said).verdict == WITH_LIMITS
    again = replace(GOOD, defects=(replace(UNSAFE_ONE, step=71),))
    assert standing(again, TRIP, said).verdict == HELD


def test_names_are_the_most_that_any_rule_in_play_wants():
    assert names_needed(GOOD, ()) == 1
    assert names_needed(replace(GOOD, settled=frozenset({UNSAFE})), ()) == 2
    assert names_needed(GOOD, (SERVICE, TOUCH)) == 2
    off = dict(BY_CODE) | {UNSAFE: replace(BY_CODE[UNSAFE], on=False)}
    assert names_needed(replace(GOOD, settled=frozenset({UNSAFE})), (), off) == 1


def step(case: int, word: str, minute: int, grade: str = "", function: str = "", void: bool = False):
    at = SAID_AT + timedelta(minutes=minute)
    defect = SimpleNamespace(boat_id=1, component=None)
    return SimpleNamespace(
        defect=defect, defect_id=case, step=word, grade=grade, function=function, void=void, recorded_at=at
    )


def test_two_stand_together_from_the_moment_the_second_is_graded():
    first, second = step(7, "graded", 0, LIMITS_USE, "bilge"), step(8, "graded", 3, UNSAFE, "radio")
    assert list(chains([first, second])) == [(1, second.recorded_at)]
    assert list(chains([first, step(7, "put right", 1), second])) == []
    assert list(chains([first, step(7, "graded", 1, WATCH), second])) == []
