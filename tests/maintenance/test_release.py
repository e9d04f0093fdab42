"""Releases: in whose names, to which limit, for one charter; what fells them, and what never comes back."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.ledger import take_back
from maintenance.defects.actions import end_defect, grade_defect, look_at, report_defect
from maintenance.defects.deferring import Until, defer_defect
from maintenance.defects.models import StepPaper
from maintenance.release.actions import (
    HoldLifted,
    Name,
    ReleaseRefused,
    add_name,
    by_one_person,
    hold_boat,
    lift_hold,
    say_held,
)
from maintenance.release.afterwards import to_read
from maintenance.release.facts import judge, judged_of
from maintenance.release.models import Release, ReleaseName
from maintenance.release.rule_list import PAPER
from maintenance.release.setting import RuleRefused, set_rule
from maintenance.safety.models import Adoption, Requirement
from maintenance.servicing.actions import reforecast
from tests.cast import NOW, TODAY, more_boats
from tests.factories import PaperFactory, ServiceFactory
from tests.maintenance.to_release import ILDA, TOME, at, release

How = ReleaseName.How
BY_PHONE = Name("Ilda", How.BY_TELEPHONE, read_out="The steering is bled and tried. Does she go?")


def test_a_boat_nothing_holds_is_not_released_until_somebody_says_so(cast, boat, stands):
    assert stands().standing.verdict == ""
    release(cast, boat)
    assert (stands().standing.verdict, stands().charter.code) == ("fit", "S3")


def test_an_unsafe_defect_holds_her_and_no_release_is_said_over_it(cast, boat, stands, unsafe):
    assert stands().standing.verdict == "held"
    with pytest.raises(ReleaseRefused, match=r"let_be: Unsafe: A shroud is worn"):
        release(cast, boat, TOME, ILDA)
    assert not Release.objects.exists()


def test_once_unsafe_is_put_right_two_names_are_wanted_and_two_are_enough(cast, boat, stands, unsafe):
    end_defect(unsafe, step="put right", who="Tome", at=at(2))
    assert stands().names_needed == 2
    row = release(cast, boat, TOME, ILDA)
    assert not by_one_person(row)
    assert stands().standing.verdict == "fit"


def test_unsafe_graded_down_wants_two_names_as_well(cast, boat, stands, unsafe):
    grade_defect(unsafe, grade="watch", who="Tome", at=at(2))
    assert stands().names_needed == 2


def test_one_person_alone_releases_her_and_it_says_so(cast, boat, stands, unsafe):
    end_defect(unsafe, step="put right", who="Tome", at=at(2))
    row = release(cast, boat, TOME)
    assert by_one_person(row)
    assert stands().standing.verdict == "fit"
    assert [(read.release, read.alone, read.unseen) for read in to_read([boat.pk])] == [(row, True, True)]


def test_one_name_written_twice_is_one_person(cast, boat, unsafe):
    end_defect(unsafe, step="put right", who="Tome", at=at(2))
    assert by_one_person(release(cast, boat, TOME, Name(" tome ")))


def test_the_other_name_comes_by_telephone_with_what_was_read_out_and_is_confirmed_later(cast, boat, unsafe):
    end_defect(unsafe, step="put right", who="Tome", at=at(2))
    with pytest.raises(ReleaseRefused, match="read_out: wanted what was read out"):
        release(cast, boat, TOME, Name("Ilda", How.BY_TELEPHONE))
    row = release(cast, boat, TOME, BY_PHONE)
    assert not by_one_person(row)
    assert [read.unconfirmed for read in to_read([boat.pk])] == [True]
    name = row.names.get(how=How.BY_TELEPHONE)
    add_name(row, Name("Ilda", How.CONFIRMED), confirms=name, at=at(600))
    assert to_read([boat.pk]) == []
    name.refresh_from_db()
    with pytest.raises(ReleaseRefused, match="not confirmed yet"):
        add_name(row, Name("Ilda", How.CONFIRMED), confirms=name, at=at(601))


def test_a_name_by_telephone_waits_where_one_name_was_enough_and_also_when_it_was_seen(cast, boat):
    row = release(cast, boat, BY_PHONE)
    add_name(row, Name("Bryn", How.SEEN), at=at(40))
    assert [(read.alone, read.unseen, read.unconfirmed) for read in to_read([boat.pk])] == [
        (False, False, True)
    ]


def test_who_only_saw_or_confirmed_it_afterwards_does_not_stand_under_it(cast, boat, unsafe):
    end_defect(unsafe, step="put right", who="Tome", at=at(2))
    row = release(cast, boat, TOME)
    add_name(row, Name("Ilda", How.SEEN), at=at(40))
    add_name(row, Name("Bryn", How.CONFIRMED), at=at(41))
    assert by_one_person(row)
    assert to_read([boat.pk]) == []


def test_a_second_name_given_later_counts(cast, boat, unsafe):
    end_defect(unsafe, step="put right", who="Tome", at=at(2))
    row = release(cast, boat, TOME)
    add_name(row, ILDA, at=at(40))
    assert not by_one_person(row)


def test_no_name_goes_under_a_release_that_was_taken_back(cast, boat):
    row = release(cast, boat)
    take_back(row, at=at(31))
    with pytest.raises(ReleaseRefused, match="taken back"):
        add_name(row, ILDA, at=at(32))


def test_what_holds_her_is_let_be_by_name_with_a_limit_and_a_reason(cast, boat, stands, unsafe):
    key = stands().standing.reasons[0].key
    with pytest.raises(ReleaseRefused, match="limits: wanted the limit"):
        release(cast, boat, TOME, let_be=[key], why="Tried at the quay")
    with pytest.raises(ReleaseRefused, match="why: wanted why"):
        release(cast, boat, TOME, let_be=[key], limits="In the bay only")
    row = release(cast, boat, TOME, let_be=[key], limits="In the bay only", why="Tried at the quay")
    assert (row.verdict, row.names_needed) == ("fit with limits", 2)
    assert "In the bay only" in stands().limits
    assert [r.key for r in stands().standing.let_be] == [key]
    assert [read.unseen for read in to_read([boat.pk])] == [True]


def test_what_does_not_hold_her_is_not_let_be(cast, boat):
    with pytest.raises(ReleaseRefused, match="does not hold her now"):
        release(cast, boat, TOME, let_be=["unsafe:1:1"], limits="x", why="y")


def test_an_alarm_is_not_let_be_by_anybody_and_a_look_that_finds_nothing_leaves_no_hold(cast, boat, stands):
    row = report_defect(boat, words="Smell of gas at the cooker", risk_now=True, at=at(0))
    (reason,) = stands().standing.reasons
    with pytest.raises(ReleaseRefused, match="nobody has looked"):
        release(cast, boat, TOME, let_be=[reason.key], limits="x", why="y")
    look_at(row, who="Tome", seen="The bottle was empty, no smell", nothing=True, at=at(5))
    assert stands().standing.reasons == ()
    assert release(cast, boat).verdict == "fit"


def test_deferred_with_a_limit_she_is_fit_with_limits_and_the_skipper_is_told(cast, boat, stands):
    row = report_defect(boat, words="Windlass slips", at=at(0))
    grade_defect(row, grade="limits use", who="Tome", at=at(1))
    defer_defect(row, Until(day=date(2026, 6, 20)), who="Tome", limit="Haul by hand", at=at(2))
    assert release(cast, boat).verdict == "fit with limits"
    assert stands().limits == ("Haul by hand",)


def test_a_deferral_decided_after_the_release_makes_it_one_with_limits(cast, boat, stands):
    release(cast, boat, minutes=1)
    row = report_defect(boat, words="Windlass slips", at=at(2))
    grade_defect(row, grade="limits use", who="Tome", at=at(3))
    defer_defect(row, Until(day=date(2026, 6, 20)), who="Tome", limit="Haul by hand", at=at(4))
    assert stands().standing.verdict == "fit with limits"


def test_held_by_name_needs_a_reason_and_is_lifted_once_with_one(boat, stands):
    with pytest.raises(ReleaseRefused, match="why: wanted"):
        hold_boat(boat, why=" ", who="Ilda", at=NOW)
    with pytest.raises(ReleaseRefused, match="who: wanted"):
        hold_boat(boat, why="x", who="", at=NOW)
    row = hold_boat(boat, why="The owner is aboard", who="Ilda", at=NOW)
    assert [r.words for r in stands().standing.reasons] == ["Held by Ilda: The owner is aboard"]
    lift_hold(row, why="He has left", who="Ilda", at=at(1))
    row.refresh_from_db()
    with pytest.raises(HoldLifted):
        lift_hold(row, why="again", who="Ilda", at=at(2))
    assert stands().standing.reasons == ()


def test_that_she_does_not_go_stands_with_its_reason_until_she_is_released(cast, boat, stands):
    with pytest.raises(ReleaseRefused, match="why: wanted"):
        say_held(boat, cast.charter["S3"], TOME, why="", at=at(0))
    say_held(boat, cast.charter["S3"], TOME, why="Waits for the surveyor", at=at(0))
    (reason,) = stands().standing.reasons
    assert (stands().standing.verdict, reason.words) == ("held", "Held by Tome: Waits for the surveyor")
    release(cast, boat)
    assert stands().standing.verdict == "fit"


def test_a_release_taken_back_says_nothing_any_more(cast, boat, stands):
    take_back(release(cast, boat), at=at(31))
    assert (stands().standing.verdict, stands().release) == ("", None)


def test_what_was_opened_wants_its_paper_until_it_is_here_also_after_a_charter_it_was_let_be_for(
    cast, boat, stands
):
    row = report_defect(boat, words="Cooker tap", at=at(0))
    step = end_defect(row, step="put right", who="Tome", opened="fixed gas", at=at(1))
    (reason,) = stands().standing.reasons
    assert (reason.code, reason.words) == (PAPER, "Opened, and no paper here (fixed gas): Cooker tap")
    release(cast, boat, let_be=[reason.key], limits="Cooker shut off", why="The fitter comes on Monday")
    assert stands().standing.verdict == "fit with limits"
    after = judge(boat, None, base=cast.base, on=date(2026, 6, 6), now=at(60 * 24 * 9))
    assert (after.charter.code, [r.code for r in after.standing.reasons]) == ("S4", [PAPER])
    assert [r.code for r in stands().standing.let_be] == [PAPER]
    StepPaper.objects.create(step=step, paper=PaperFactory())
    assert stands().standing.let_be == ()


def test_a_critical_service_past_its_limit_before_she_is_back_holds_her_until_it_is_recorded(
    cast, boat, stands
):
    critical = cast.interval["rig"]  # last done 2 June 2025, may run over to 9 June
    critical.critical = True
    critical.save()
    assert stands(charter=cast.charter["S3"]).standing.reasons == ()
    (reason,) = stands(charter=cast.charter["S4"]).standing.reasons
    assert reason.words == "Past its limit before she is back: Rig, Rigging"
    ServiceFactory(component=cast.part["sandpiper rigging"], interval=critical, done_on=TODAY)
    reforecast(on=TODAY)
    assert stands(charter=cast.charter["S4"]).standing.reasons == ()


def test_gear_short_holds_her_where_she_goes_by_the_list_and_warns_where_not(cast, boat, stands):
    kind = cast.part["sandpiper life-raft"].kind
    Requirement.objects.create(base=cast.base, list="offshore", kind=kind, number=2, source="the list")
    assert stands().standing.reasons == ()
    assert any("offshore" in warning for warning in stands().warnings)
    Adoption.objects.create(boat=boat, list="offshore", from_on=TODAY, recorded_at=NOW)
    assert [r.code for r in stands().standing.reasons] == ["gear"]


def test_a_rule_is_changed_for_one_base_and_the_alarm_is_never_off(cast, boat, stands, unsafe):
    assert set_rule(cast.base, "unsafe", on=False, names=1)
    assert not set_rule(cast.base, "unsafe", on=False, names=1)
    assert stands().standing.reasons == ()
    with pytest.raises(RuleRefused, match="on: wanted on"):
        set_rule(cast.base, "alarm", on=False, names=1)
    with pytest.raises(RuleRefused, match="names: wanted 1 to 3"):
        set_rule(cast.base, "unsafe", on=True, names=0)


def test_the_names_a_base_wants_are_its_own(cast, boat, stands, unsafe):
    set_rule(cast.base, "unsafe", on=True, names=3)
    assert stands().names_needed == 3
    end_defect(unsafe, step="put right", who="Tome", at=at(2))
    assert by_one_person(release(cast, boat, TOME, ILDA))


def test_how_twenty_boats_stand_is_asked_in_as_many_queries_as_three(cast, boat, unsafe):
    def asked() -> int:
        with CaptureQueriesContext(connection) as said:
            found = judged_of(cast.base, on=TODAY, now=NOW)
        assert found[boat.pk].standing.verdict == "held"
        return len(said)

    few = asked()
    more_boats(cast, 17)
    for n in range(17):
        other = cast.boat[f"sister {n}"]
        row = report_defect(other, words="Smoke", at=NOW)
        grade_defect(row, grade="unsafe", who="Tome", at=NOW)
        hold_boat(other, why="x", who="y", at=NOW)
    assert asked() == few
