"""From the season to the winter and back: laid up, fitted out, signed, and what the due list makes of it."""

from datetime import date, timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.boats.models import BoatTerms
from fleet.refused import TooLate
from maintenance.jobs.actions import Work, record_work
from maintenance.release.actions import Name, release_boat
from maintenance.release.facts import judge
from maintenance.release.laying_up import (
    LayUpRefused,
    begin_fitting_out,
    call_off_lay_up,
    lay_up,
    sign_fitting_out,
    state_on,
    step_to_take_back,
    take_back_step,
)
from maintenance.release.models import FittingOut
from maintenance.release.ready import ready_of
from maintenance.servicing.actions import derive, reforecast
from maintenance.servicing.models import Due
from maintenance.servicing.terms import add_terms
from tests import factories as make
from tests.cast import NOW, TODAY, book, due_list_holds

WEEK = timedelta(days=7)
LATER = NOW + timedelta(hours=1)
ALWAYS = date(2019, 11, 1)


@pytest.fixture
def page(cast):
    """Blank Page, who is at her berth until 4 June."""
    return cast.boat["blank page"]


@pytest.fixture
def monthly(cast):
    """Turning the engine by hand, monthly, of engines that are laid up."""
    kind = cast.interval["change"].kind
    cast.interval["turn"] = make.IntervalFactory(code="turn", kind=kind, every_months=1, in_lay_up=True)
    reforecast(on=TODAY)
    return cast.interval["turn"]


def codes(boat, base, on=TODAY, charter=None):
    return [r.code for r in judge(boat, charter, base=base, on=on, now=NOW).standing.reasons]


def test_a_task_of_the_lay_up_is_listed_of_no_boat_in_use(cast, page, monthly):
    assert not Due.objects.filter(interval=monthly).exists()


def test_laid_up_her_tasks_of_the_lay_up_are_listed_from_its_first_day(cast, page, monthly):
    lay_up(page, date(2026, 5, 20), at=NOW)
    line = Due.objects.get(interval=monthly)
    assert (line.boat, line.due_on, line.counted_from) == (page, date(2026, 6, 20), date(2026, 5, 20))
    assert due_list_holds()


def test_done_it_is_due_a_month_later_and_gone_when_she_is_in_use(cast, page, monthly):
    lay_up(page, date(2026, 5, 20), at=NOW)
    record_work(page, Work(TODAY, [cast.task("blank page engine-oil", "turn")]), at=NOW)
    assert Due.objects.get(interval=monthly).due_on == date(2026, 6, 28)
    begin_fitting_out(page, TODAY, at=LATER)
    assert not Due.objects.filter(interval=monthly).exists()
    assert due_list_holds()


def test_what_was_done_in_the_winter_before_does_not_count_for_this_one(cast, page, monthly):
    add_terms(page, at=NOW, from_on=date(2024, 11, 1), state="lay-up")
    record_work(page, Work(date(2025, 2, 10), [cast.task("blank page engine-oil", "turn")]), at=NOW)
    add_terms(page, at=NOW, from_on=date(2025, 4, 1), state="in use")
    lay_up(page, TODAY, at=NOW)
    assert Due.objects.get(interval=monthly).counted_from == TODAY
    assert due_list_holds()


def test_a_lay_up_goes_on_through_other_terms_that_keep_it(cast, page, monthly):
    """She is given another berth's area in the winter: the lay-up began when it began."""
    lay_up(page, date(2026, 5, 10), at=NOW)
    add_terms(page, at=LATER, from_on=date(2026, 5, 20), area="inland")
    assert Due.objects.get(interval=monthly).due_on == date(2026, 6, 10)
    assert due_list_holds()


def test_a_boat_out_on_charter_is_not_laid_up(cast):
    with pytest.raises(LayUpRefused, match="on: wanted a day she is in: she is out until Sat 30 May 2026"):
        lay_up(cast.boat["sandpiper"], TODAY, at=NOW)


def test_nor_from_a_day_on_which_a_charter_goes_out_or_before_one_that_went(cast, page):
    with pytest.raises(LayUpRefused, match="out until Thu 11 Jun 2026"):
        lay_up(page, date(2026, 6, 4), at=NOW)
    with pytest.raises(LayUpRefused, match="after Sat 23 May 2026, when she went out"):
        lay_up(cast.boat["sandpiper"], date(2026, 5, 1), at=NOW)


def test_the_day_she_comes_back_she_may_be_laid_up(cast):
    lay_up(cast.boat["twice shy"], TODAY, at=NOW)
    assert state_on(cast.boat["twice shy"], TODAY) == "lay-up"


def test_a_lay_up_to_come_changes_nothing_today(cast, page, monthly):
    lay_up(page, TODAY + 10 * WEEK, at=NOW)
    assert state_on(page, TODAY) == "in use"
    assert not Due.objects.filter(interval=monthly).exists()
    ship = judge(page, None, base=cast.base, on=TODAY, now=NOW).ship
    assert ship.layup_on == TODAY + 10 * WEEK


def test_twice_laid_up_is_refused(page):
    lay_up(page, TODAY, at=NOW)
    with pytest.raises(LayUpRefused, match="not laid up yet"):
        lay_up(page, TODAY, at=LATER)


def test_terms_to_come_that_carried_the_old_state_on_are_laid_up_with_her(cast, page):
    """The office wrote down weeks ago that she carries eight from August."""
    add_terms(page, at=NOW, from_on=date(2026, 8, 1), persons=8)
    lay_up(page, TODAY, at=LATER)
    assert state_on(page, date(2026, 9, 1)) == "lay-up"
    assert BoatTerms.objects.standing().get(boat=page, from_on=date(2026, 8, 1)).persons == 8


def test_laid_up_fitted_out_and_signed_on_one_day(cast, page):
    lay_up(page, TODAY, at=NOW)
    begin_fitting_out(page, TODAY, at=NOW + timedelta(minutes=1))
    sign_fitting_out(page, "A. Fitter", "All seacocks moved", on=TODAY, at=NOW + timedelta(minutes=2))
    assert state_on(page, TODAY) == "in use"
    assert BoatTerms.objects.standing().filter(boat=page, from_on=TODAY).count() == 1
    assert FittingOut.objects.standing().get().words == "All seacocks moved"
    assert due_list_holds()


def test_laid_up_she_is_held_fitted_out_she_is_held_and_signed_she_is_not(cast, page):
    assert "fitting-out" not in codes(page, cast.base)
    lay_up(page, TODAY, at=NOW)
    assert "fitting-out" in codes(page, cast.base)
    begin_fitting_out(page, TODAY, at=LATER)
    assert "fitting-out" in codes(page, cast.base)
    sign_fitting_out(page, "A. Fitter", on=TODAY, at=LATER + WEEK / 700)
    assert "fitting-out" not in codes(page, cast.base)


def test_put_in_use_without_a_signature_she_is_held_until_one_signs(cast, page):
    add_terms(page, at=NOW, from_on=date(2026, 1, 10), state="lay-up")
    add_terms(page, at=NOW, from_on=date(2026, 5, 1), state="in use")
    assert "fitting-out" in codes(page, cast.base)
    sign_fitting_out(page, "A. Fitter", on=TODAY, at=LATER)
    assert "fitting-out" not in codes(page, cast.base)


def test_what_was_never_laid_up_is_not_signed_and_no_name_signs_nothing(cast, page):
    with pytest.raises(LayUpRefused, match="laid up or being fitted out"):
        sign_fitting_out(page, "A. Fitter", on=TODAY, at=NOW)
    lay_up(page, TODAY, at=NOW)
    with pytest.raises(LayUpRefused, match="who: wanted the name"):
        sign_fitting_out(page, "  ", on=TODAY, at=NOW)
    with pytest.raises(LayUpRefused, match="today or a day before"):
        sign_fitting_out(page, "A. Fitter", on=TODAY + WEEK, at=NOW)
    with pytest.raises(LayUpRefused, match="today or a day before"):
        begin_fitting_out(page, TODAY + WEEK, at=NOW)


def test_fitting_out_begins_only_of_a_boat_laid_up(page):
    with pytest.raises(LayUpRefused, match="is laid up"):
        begin_fitting_out(page, TODAY, at=NOW)


def test_a_boat_laid_up_before_signing_was_known_is_not_held_once_she_went_out_since(cast):
    """Her base brought six years of terms along; she has sailed every summer since."""
    boat = cast.boat["sandpiper"]
    add_terms(boat, at=NOW, from_on=ALWAYS, state="lay-up")
    add_terms(boat, at=NOW, from_on=date(2020, 4, 1), state="in use")
    assert ready_of([boat.pk], TODAY) == {boat.pk: True}


def test_laid_up_in_the_year_before_and_not_yet_gone_out_she_is_held(cast, page):
    add_terms(page, at=NOW, from_on=date(2025, 11, 1), state="lay-up")
    add_terms(page, at=NOW, from_on=date(2026, 3, 1), state="in use")
    assert ready_of([page.pk], TODAY) == {page.pk: False}


def test_a_release_since_does_not_stand_for_the_signature(cast, page):
    """She was let go to a limit unsigned: for the charter after that she is held again."""
    add_terms(page, at=NOW, from_on=date(2026, 1, 10), state="lay-up")
    add_terms(page, at=NOW, from_on=date(2026, 5, 1), state="in use")
    trip = cast.charter["B1"]
    held = judge(page, trip, base=cast.base, on=TODAY, now=NOW).standing.reasons
    release_boat(
        page,
        trip,
        [Name("A. Fitter")],
        limits="By day only",
        let_be=[r.key for r in held],
        why="Sea trial",
        at=NOW,
    )
    assert ready_of([page.pk], date(2026, 6, 12)) == {page.pk: False}


def test_it_is_signed_anew_after_every_winter(cast, page):
    add_terms(page, at=NOW, from_on=date(2025, 1, 10), state="lay-up")
    sign_fitting_out(page, "A. Fitter", on=date(2025, 4, 1), at=NOW)
    assert ready_of([page.pk], TODAY) == {page.pk: True}
    lay_up(page, date(2026, 1, 10), at=NOW + timedelta(minutes=1))
    add_terms(page, at=LATER, from_on=date(2026, 5, 1), state="in use")
    assert ready_of([page.pk], TODAY) == {page.pk: False}


@pytest.mark.parametrize("to_come", [timedelta(0), 3 * WEEK])
def test_a_lay_up_of_today_is_taken_back(cast, page, monthly, to_come):
    lay_up(page, TODAY + to_come, at=NOW)
    assert take_back_step(page, at=LATER) == "in use"
    assert state_on(page, TODAY + 4 * WEEK) == "in use"
    assert not Due.objects.filter(interval=monthly).exists()
    assert due_list_holds()
    with pytest.raises(TooLate):
        take_back_step(page, at=LATER + timedelta(minutes=1))


def test_a_signature_of_today_is_taken_back_with_the_state_it_gave(cast, page):
    lay_up(page, date(2026, 5, 1), at=NOW)
    sign_fitting_out(page, "A. Fitter", on=TODAY, at=LATER)
    assert take_back_step(page, at=LATER + timedelta(minutes=1)) == "lay-up"
    assert not FittingOut.objects.standing().exists()
    assert "fitting-out" in codes(page, cast.base)


def test_steps_of_one_day_are_taken_back_one_at_a_time_and_not_to_and_fro(cast, page):
    lay_up(page, TODAY, at=NOW)
    begin_fitting_out(page, TODAY, at=NOW + timedelta(minutes=1))
    assert take_back_step(page, at=NOW + timedelta(minutes=2)) == "lay-up"
    assert step_to_take_back(page, NOW + timedelta(minutes=3)) is None


def test_a_signature_alone_is_taken_back(cast, page):
    add_terms(page, at=NOW - WEEK, from_on=date(2026, 1, 10), state="lay-up")
    add_terms(page, at=NOW - WEEK, from_on=date(2026, 5, 1), state="in use")
    sign_fitting_out(page, "A. Fitter", on=TODAY, at=NOW)
    take_back_step(page, at=LATER)
    assert ready_of([page.pk], TODAY) == {page.pk: False}


def test_yesterdays_step_is_not_taken_back(cast, page):
    lay_up(page, TODAY, at=NOW - timedelta(days=1))
    with pytest.raises(TooLate):
        take_back_step(page, at=NOW)


def test_the_due_list_of_many_laid_up_boats_takes_as_many_queries_as_of_one(cast, page, monthly):
    for boat in ("blank page", "twice shy"):
        lay_up(cast.boat[boat], TODAY, at=NOW)
    counted = []
    for boats in ([page.pk], [page.pk, cast.boat["twice shy"].pk]):
        with CaptureQueriesContext(
            connection,
        ) as seen:
            lines = list(derive(boats, TODAY, {}))
        counted.append(len(seen))
        assert any(line.interval_id == monthly.pk for line in lines)
    assert counted[0] == counted[1]


def test_a_charter_booked_in_her_lay_up_still_stands(cast, page):
    """She may be fitted out before it; until then she is held for it."""
    trip = book(cast, "B2", "blank page", "2027-04-10", "2027-04-17")
    lay_up(page, TODAY, at=NOW)
    assert "fitting-out" in codes(page, cast.base, charter=trip)


def test_a_release_said_before_does_not_come_back_when_fitting_out_is_signed(cast, page):
    trip = cast.charter["B1"]
    release_boat(page, trip, [Name("A. Fitter")], at=NOW)
    assert judge(page, trip, base=cast.base, on=TODAY, now=NOW).standing.verdict == "fit"
    lay_up(page, TODAY, at=NOW + timedelta(minutes=1))
    sign_fitting_out(page, "A. Fitter", on=TODAY, at=NOW + timedelta(minutes=2))
    standing = judge(page, trip, base=cast.base, on=TODAY, now=LATER).standing
    assert (standing.verdict, standing.fell) == ("", True)


def test_a_lay_up_to_come_is_called_off_on_any_day_before_it(cast, page):
    lay_up(page, TODAY + 10 * WEEK, at=NOW - WEEK)
    call_off_lay_up(page, at=NOW)
    assert state_on(page, TODAY + 20 * WEEK) == "in use"
    with pytest.raises(LayUpRefused, match="to come"):
        call_off_lay_up(page, at=LATER)
