"""What a page says so that nobody is misled: alarms first, a slip asked about, nothing dropped in silence."""

from datetime import timedelta

import pytest
import time_machine
from django.urls import reverse

from fleet.charters.models import Charter
from maintenance.defects.actions import report_defect
from maintenance.jobs.away import send_away
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.models import Return
from tests.cast import NOW, TODAY
from tests.doors.sheets import MAIN, said, tap


@pytest.fixture
def form(cast, engineer):
    return lambda: engineer.get(reverse("return", args=["harbour", cast.boat["sandpiper"].pk]))


@pytest.fixture
def week(engineer):
    return lambda: said(engineer.get(reverse("week", args=["harbour"])))


def test_sent_again_with_something_added_it_says_that_the_addition_is_not_in_it(engineer, form):
    page = form()
    tap(engineer, page, MAIN, defects="Leaks")
    with time_machine.travel(NOW + timedelta(minutes=5), tick=False):
        again = tap(engineer, page, MAIN, defects="Leaks\nWindlass stuck")
        words = said(engineer.get(again["Location"]))
    assert "kept already" in words
    assert "not in it: file another" in words
    assert Return.objects.count() == 1


def test_another_return_of_the_same_charter_is_told_of_the_first(engineer, form):
    tap(engineer, form(), MAIN, defects="Leaks")
    assert "filed a return of this charter already" in said(form())


def test_a_return_that_says_nothing_is_a_slip_and_a_dial_of_nought_is_not(cast, engineer, form):
    empty = tap(engineer, form(), MAIN)
    assert (empty.status_code, Return.objects.count()) == (422, 0)
    assert "Nothing was said" in said(empty)
    new = f"new-{cast.meter['sandpiper main'].pk}"
    dial = f"dial-{cast.meter['sandpiper main'].pk}"
    assert tap(engineer, form(), MAIN, **{dial: "0", new: "on"}).status_code == 302


def test_a_new_meter_ticked_without_what_it_shows_is_asked_about(cast, engineer, form):
    new = f"new-{cast.meter['sandpiper main'].pk}"
    page = tap(engineer, form(), MAIN, defects="Leaks", **{new: "on"})
    assert page.status_code == 422
    assert "wanted what the new meter shows" in said(page)


def test_gas_smelled_stands_before_a_lamp_with_its_caution(cast, week):
    boat = cast.boat["sandpiper"]
    report_defect(boat, words="Reading light out", at=NOW)
    file_return(boat, None, Report("base", TODAY, answers={"gas_or_fumes_smelled": True}), at=NOW)
    words = week()
    assert words.index("Gas or fumes were smelled") < words.index("Reading light out")
    assert "Shut the gas at the bottle" in words


def test_a_thing_sent_away_shows_on_her_card_though_no_task_of_it_is_due(cast, week):
    send_away(cast.part["sandpiper rigging"], whom="Mast yard", day=TODAY, at=NOW)
    words = week()
    assert "to Mast yard since 28 May" in words
    assert "Nothing in its place aboard" in words


def test_work_on_a_boat_that_is_out_asks_whether_it_is_the_right_one(cast, engineer):
    line = cast.line("sandpiper engine-oil", "change")
    where = reverse("work", args=["harbour", cast.boat["sandpiper"].pk])
    assert "Is it the right boat?" in said(engineer.get(where, {"line": line}))
    Charter.objects.filter(boat=cast.boat["sandpiper"], starts_on__lt=TODAY).update(ends_on=TODAY)
    assert "Is it the right boat?" not in said(engineer.get(where, {"line": line}))
