"""Going out to a boat that is away: what is asked, which clock runs, how it is closed, nothing twice."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest

from fleet.charters.models import Charter
from maintenance.defects.actions import end_defect, grade_defect, report_defect
from maintenance.defects.models import Defect
from maintenance.jobs.actions import TooLateToTakeBack, WorkRefused
from maintenance.jobs.call_out import (
    Call,
    CallOutClosed,
    CallOutRefused,
    book_parts,
    close_call_out,
    open_call_out,
    say_step,
    take_back_last,
)
from maintenance.jobs.clock import Allowed
from maintenance.jobs.contract import ClockRefused, contract_clock, set_contract_clock
from maintenance.jobs.models import CallOut, CallOutStep, Job
from maintenance.jobs.under_way import closed_call_outs, open_call_outs, spares_for, under_way
from maintenance.spares.actions import SpareUsed
from maintenance.spares.facts import hands
from maintenance.turnaround.at_sea import under_way as charter_under_way
from tests.cast import NOW, TODAY, due_list_holds
from tests.factories import ComponentFactory, SpareFactory

TOLD = datetime(2026, 5, 28, 9, 30, tzinfo=UTC)
CALL = Call("Bight of Sand, at anchor", TOLD, "+30 123")
H = timedelta(hours=1)


@pytest.fixture
def defect(cast):
    said = {"words": "No charge from the alternator", "component": cast.part["sandpiper impeller"]}
    return report_defect(cast.boat["sandpiper"], at=TOLD, charter=cast.charter["S2"], **said)


@pytest.fixture
def call_out(cast, defect):
    return opened(cast, defects=[defect])


def opened(cast, call=CALL, *, charter="S2", boat="sandpiper", **more):
    of = cast.charter[charter] if charter else None
    return open_call_out(cast.boat[boat], call, charter=of, at=NOW, **more)


def test_one_call_out_holds_several_defects_and_one_that_nobody_wrote_down_yet(cast, defect):
    other = report_defect(cast.boat["sandpiper"], words="Fridge warm", at=TOLD)
    row = opened(cast, defects=[defect, other, defect], words="Toilet blocked", reporter="the skipper")
    now = under_way(row)
    assert [d.words for d in now.defects] == [defect.words, "Fridge warm", "Toilet blocked"]
    assert (now.defects[2].charter, now.defects[2].reporter) == (cast.charter["S2"], "the skipper")
    assert (now.closed, now.last) == (False, None)


def test_the_contracts_clock_runs_for_a_hire_from_when_it_was_told(cast, call_out):
    assert call_out.hours == 24  # seven days out, the published terms
    assert under_way(call_out).runs_out_at == TOLD + 24 * H


@pytest.mark.parametrize(("charter", "sort"), [(None, "hire"), ("S2", "owner"), ("S2", "delivery")])
def test_an_own_trip_has_no_client_and_no_clock(cast, defect, charter, sort):
    Charter.objects.filter(code="S2").update(sort=sort)
    cast.charter["S2"].refresh_from_db()
    assert under_way(opened(cast, charter=charter, defects=[defect])).runs_out_at is None


def test_the_bases_own_hours_hold_for_the_call_outs_opened_after(cast, call_out):
    set_contract_clock(cast.base, [Allowed(0, 48)])
    later = opened(cast, words="Fridge warm")
    assert (under_way(call_out).call_out.hours, later.hours) == (24, 48)
    set_contract_clock(cast.base, [])
    assert contract_clock(cast.base) == []


@pytest.mark.parametrize("rows", [[Allowed(0, 24), Allowed(0, 48)], [Allowed(7, 48)]])
def test_hours_that_leave_a_charter_out_or_say_two_things_are_refused_whole(cast, rows):
    set_contract_clock(cast.base, [Allowed(0, 12)])
    with pytest.raises(ClockRefused, match="over_days: wanted"):
        set_contract_clock(cast.base, rows)
    assert contract_clock(cast.base) == [Allowed(0, 12)]


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"where": " "}, "where"),
        ({"told_at": NOW + H}, "told_at"),
        ({"told_at": NOW - timedelta(days=61)}, "told_at"),
        ({"told_at": TOLD - timedelta(days=7)}, "charter"),  # another charter had her then
    ],
)
def test_what_is_missing_of_a_call_is_named_and_nothing_is_kept(cast, defect, changed, field):
    with pytest.raises(CallOutRefused, match=rf"^{field}: wanted"):
        opened(cast, replace(CALL, **changed), defects=[defect], words="Fridge warm")
    assert not CallOut.objects.exists()
    assert Defect.objects.count() == 1


def test_nobody_goes_out_for_nothing_for_another_boat_or_for_what_has_ended(cast, defect):
    other = report_defect(cast.boat["blank page"], words="Leaks", at=TOLD)
    end_defect(defect, step="put right", who="A", at=NOW)
    for defects in ([], [other], [defect]):
        with pytest.raises(CallOutRefused, match=r"^defects: wanted"):
            opened(cast, defects=defects)
    with pytest.raises(CallOutRefused, match=r"^charter: wanted"):
        opened(cast, charter="T1", words="Leaks")


def test_a_defect_is_gone_out_to_once_at_a_time(cast, defect, call_out):
    with pytest.raises(CallOutRefused, match=r"^defects: wanted those that have no call-out"):
        opened(cast, defects=[defect])
    say_step(call_out, "not needed", who="A", at=NOW)
    assert opened(cast, defects=[defect]).pk != call_out.pk


def test_sent_twice_with_one_id_it_is_one(cast, defect):
    rows = [opened(cast, defects=[defect], words="Fridge", client_id="x") for _ in range(2)]
    assert rows[0] == rows[1]
    for _ in range(2):
        say_step(rows[0], "promised", who="A", promised_at=NOW + H, at=NOW, client_id="y")
    for _ in range(2):
        say_step(rows[0], "on the way", who="A", at=NOW)  # two taps, two ids
    assert CallOutStep.objects.count() == 2
    assert Defect.objects.count() == 2


def test_each_step_says_who_and_the_last_promise_stands(cast, call_out):
    said = {"who": "Ines", "takes": "belt, tension gauge"}
    say_step(call_out, "promised", promised_at=NOW + 2 * H, at=NOW, **said)
    say_step(call_out, "promised", who="Ines", promised_at=NOW + 4 * H, at=NOW)
    say_step(call_out, "on the way", who="Ines", at=NOW + H)
    now = under_way(call_out)
    assert (now.promised_at, now.takes, now.last.step) == (NOW + 4 * H, "belt, tension gauge", "on the way")


@pytest.mark.parametrize(
    ("step", "more", "field"),
    [
        ("promised", {}, "promised_at"),
        ("promised", {"promised_at": TOLD - H}, "promised_at"),
        ("promised", {"promised_at": NOW + timedelta(days=61)}, "promised_at"),
        ("on the way", {"who": " "}, "who"),
        ("gone fishing", {}, "step"),
    ],
)
def test_a_step_that_cannot_be_is_refused_by_its_field(call_out, step, more, field):
    with pytest.raises(CallOutRefused, match=rf"^{field}: wanted"):
        say_step(call_out, step, at=NOW, **{"who": "Ines"} | more)
    assert under_way(call_out).steps == ()


def test_done_ends_what_was_put_right_and_takes_the_spares_from_the_book(cast, defect, call_out):
    used = [SpareUsed(cast.spare["oil"], cast.place["store"], Decimal(2))]
    close_call_out(call_out, who="Ines", words="New belt", put_right=[defect], used=used, at=NOW)
    assert not Defect.objects.open().exists()
    assert hands()[cast.spare["oil"].pk, cast.place["store"].pk] == 18
    assert under_way(call_out).closed
    assert open_call_outs(cast.base, TODAY) == []
    assert [u.call_out for u in closed_call_outs(cast.base, TODAY, 5)] == [call_out]
    assert due_list_holds()


def test_what_was_not_put_right_stays_open(call_out):
    close_call_out(call_out, who="Ines", words="Needs the yard", at=NOW)
    assert Defect.objects.open().count() == 1


def test_closed_is_closed_whatever_another_telephone_still_shows(call_out):
    close_call_out(call_out, who="Ines", at=NOW)
    for step in ("promised", "there", "not needed"):
        with pytest.raises(CallOutClosed, match="Ines said “done” already"):
            say_step(call_out, step, who="Ben", promised_at=NOW + H, at=NOW)


def test_a_strange_defect_or_place_closes_nothing(cast, call_out):
    other = report_defect(cast.boat["sandpiper"], words="Leaks", at=TOLD)
    with pytest.raises(CallOutRefused, match=r"^put_right: wanted"):
        close_call_out(call_out, who="Ines", put_right=[other], at=NOW)
    far = [SpareUsed(cast.spare["oil"], cast.place["far store"], Decimal(2))]
    with pytest.raises(WorkRefused, match=r"^used: wanted"):
        close_call_out(call_out, who="Ines", used=far, at=NOW)
    assert not under_way(call_out).closed
    assert Defect.objects.open().count() == 2


def test_parts_used_in_the_field_are_booked_later_once(cast, call_out):
    close_call_out(call_out, who="Ines", at=NOW)
    used = [SpareUsed(cast.spare["oil"], cast.place["store"], Decimal(2))]
    for _ in range(2):
        book_parts(call_out, used, who="Ines", at=NOW + 20 * H, client_id="z")
    assert hands()[cast.spare["oil"].pk, cast.place["store"].pk] == 18
    assert Job.objects.count() == 1


def test_the_last_step_is_taken_back_on_its_day_and_not_after(call_out):
    close_call_out(call_out, who="Ines", at=NOW)
    with pytest.raises(TooLateToTakeBack):
        take_back_last(call_out, at=NOW + 24 * H)
    take_back_last(call_out, at=NOW + H)
    assert not under_way(call_out).closed
    assert take_back_last(call_out, at=NOW) is None


def test_the_clock_that_runs_out_first_leads_and_another_bases_boat_is_not_ours(cast, defect, call_out):
    early = opened(cast, replace(CALL, told_at=TOLD - H), words="Fridge")
    own = opened(cast, charter=None, words="Lamp")
    open_call_out(cast.boat["far cry"], CALL, words="Leaks", at=NOW)
    assert [u.call_out for u in open_call_outs(cast.base, TODAY)] == [early, call_out, own]


def test_the_queries_do_not_hang_on_how_many_there_are(cast, call_out, django_assert_num_queries):
    with django_assert_num_queries(4):
        open_call_outs(cast.base, TODAY)
    for n in range(4):
        opened(cast, words=f"Lamp {n}")
    with django_assert_num_queries(4):
        open_call_outs(cast.base, TODAY)


@pytest.mark.parametrize(
    ("hour", "code"),
    [((29, 12), "S2"), ((30, 8), "S2"), ((30, 12), None), ((30, 19), "S3")],
    ids=str,
)
def test_which_charter_has_her_goes_by_the_hour_on_the_day_of_change(cast, hour, code):
    at = datetime(2026, 5, hour[0], hour[1] - 3, tzinfo=UTC)  # three hours behind the base
    out = charter_under_way(cast.boat["sandpiper"], cast.base, at)
    assert (out.code if out else None) == code


def test_the_van_is_offered_the_spares_in_stock_of_the_kinds_of_thing_that_failed(cast, defect):
    SpareFactory(code="other pump", kind=ComponentFactory().kind)
    assert [(s.code, place) for s, place in spares_for([defect], cast.base)] == [("impeller kit", "Store")]
    bare = report_defect(cast.boat["sandpiper"], words="Fridge warm", at=TOLD)
    assert spares_for([bare], cast.base) == []


def test_a_grade_given_after_shows_on_the_call_out(defect, call_out):
    grade_defect(defect, grade="limits use", who="Ines", at=NOW)
    assert under_way(call_out).defects[0].grade == "limits use"
