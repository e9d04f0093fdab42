"""The winter on its pages: laid up, what waits for it, fitted out, signed and taken back."""

from datetime import date, timedelta

import pytest
from django.urls import reverse

from fleet.boats.models import BoatTerms
from maintenance.defects.actions import grade_defect, report_defect
from maintenance.release.laying_up import lay_up, state_on
from maintenance.release.models import FittingOut
from tests.cast import NOW, TODAY, due_list_holds
from tests.doors.sheets import said, tap
from tests.wintering import winter_tasks

WEEK = timedelta(days=7)


@pytest.fixture
def page(cast):
    return cast.boat["blank page"]


@pytest.fixture
def tasks(cast):
    winter_tasks(cast)


def opened(browser, boat):
    return browser.get(reverse("winter-boat", args=["harbour", boat.pk]))


def test_a_winter_from_lay_up_to_the_first_charter(cast, engineer, page, tasks):
    assert "Blank Page is laid up." in said(follow(engineer, tap(engineer, opened(engineer, page), "Lay up")))
    shown = said(opened(engineer, page))
    assert "Laid up since Thu 28 May. Charter B1 goes out on Thu 4 Jun: fitting-out is to be signed" in shown
    assert "Tasks of the lay-up" in shown
    assert "Turn" in shown
    tap(engineer, opened(engineer, page), "Begin fitting-out")
    assert state_on(page, TODAY) == "fitting-out"
    signed = {"sign-who": "I. Yard", "sign-words": "Seacocks moved, sails on"}
    done = follow(engineer, tap(engineer, opened(engineer, page), "Sign fitting-out", **signed))
    assert "fitting-out is signed. She is in use." in said(done)
    assert "“ Seacocks moved, sails on ”" in said(done)
    assert (state_on(page, TODAY), FittingOut.objects.get().who) == ("in use", "I. Yard")
    assert due_list_holds()


def follow(browser, answer):
    assert answer.status_code == 302, said(answer)
    return browser.get(answer["Location"])


def test_the_signature_is_prefilled_with_who_is_signed_in_and_can_be_typed_over(cast, engineer, page):
    lay_up(page, TODAY, at=NOW)
    assert b'value="Engineer"' in opened(engineer, page).content


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"lay-up-on": ""}, "Lay up from: wanted a day"),
        ({"lay-up-on": "soon"}, "Lay up from: wanted a day such as 2026-05-30"),
        (
            {"lay-up-on": "2026-06-05"},
            "Lay up from: wanted a day she is in: she is out until Thu 11 Jun 2026",
        ),
    ],
)
def test_a_day_that_cannot_be_is_said_at_its_field_and_nothing_is_kept(engineer, page, typed, wanted):
    answer = tap(engineer, opened(engineer, page), "Lay up", **typed)
    assert (answer.status_code, wanted in said(answer)) == (422, True)
    assert BoatTerms.objects.filter(boat=page).count() == 1


def test_no_name_signs_nothing_and_what_was_written_is_still_there(engineer, page):
    lay_up(page, TODAY, at=NOW)
    typed = {"sign-who": " ", "sign-words": "All done"}
    answer = tap(engineer, opened(engineer, page), "Sign fitting-out", **typed)
    assert answer.status_code == 422
    assert "Signed by: wanted a name" in said(answer)
    assert b"All done" in answer.content
    assert not FittingOut.objects.exists()


def test_sent_twice_she_is_laid_up_once(engineer, page):
    shown = opened(engineer, page)
    first, again = tap(engineer, shown, "Lay up"), tap(engineer, shown, "Lay up")
    assert (first.status_code, again.status_code) == (302, 302)
    assert BoatTerms.objects.filter(boat=page).count() == 2


def test_a_step_of_today_is_taken_back_by_one_tap(engineer, page):
    tap(engineer, opened(engineer, page), "Lay up")
    back = follow(engineer, tap(engineer, opened(engineer, page), "Take back the lay-up"))
    assert "Taken back: Blank Page is in use again." in said(back)
    assert "Take back" not in said(opened(engineer, page))


def test_a_lay_up_to_come_is_said_and_called_off(engineer, page):
    lay_up(page, date(2026, 11, 1), at=NOW - WEEK)
    assert "In use, to be laid up from Sun 1 Nov." in said(opened(engineer, page))
    tap(engineer, opened(engineer, page), "Call off")
    assert "In use." in said(opened(engineer, page))


def test_the_office_reads_the_list_and_is_shown_no_button_that_refuses(sign_in, page):
    shown = opened(sign_in("office"), page)
    assert shown.status_code == 200
    assert "Lay up from" not in said(shown)
    assert b"/work/?line=" not in shown.content


def test_the_bases_page_says_of_each_boat_how_she_stands(cast, engineer, page):
    lay_up(page, TODAY, at=NOW)
    shown = said(engineer.get(reverse("winter", args=["harbour"])))
    assert "One boat laid up, no boats fitting out." in shown
    assert "Blank Page Laid up since Thu 28 May B1, Thu 4 Jun not signed" in shown


def test_cautions_stand_on_the_list(engineer, page):
    shown = said(opened(engineer, page))
    for words in ("hangs in the lift", "aloft alone", "exhaust fumes"):
        assert words in shown


def test_the_charter_booked_is_named_above_the_tap_that_lays_her_up(engineer, page):
    shown = said(opened(engineer, page))
    named = "Charter B1 is booked for her, out Thu 4 Jun: laid up before that, she is held for it"
    assert named in shown
    assert shown.rindex(named) < shown.rindex("Lay up")


def test_what_holds_her_is_named_above_the_signature(engineer, page):
    stay = report_defect(page, words="Forestay stranded", at=NOW)
    grade_defect(stay, grade="unsafe", who="A", at=NOW)
    lay_up(page, TODAY, at=NOW)
    shown = said(opened(engineer, page))
    assert "Signed or not, she is held by this: Unsafe: Forestay stranded" in shown
    assert shown.index("she is held by this") < shown.rindex("Sign fitting-out")
