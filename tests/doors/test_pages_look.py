"""The look after an alarm: one tap in port, by telephone where she is out, or that it is no alarm."""

import pytest
from django.urls import reverse

from maintenance.defects.actions import report_defect
from maintenance.defects.models import Defect, DefectStep
from tests.cast import NOW
from tests.doors.sheets import said, tap


@pytest.fixture
def smell(cast, today_is) -> Defect:
    """Of a boat that is out on a charter."""
    return report_defect(
        cast.boat["sandpiper"], words="Burning smell behind the panel", at=NOW, reporter="Mate"
    )


@pytest.fixture
def in_port(cast, today_is) -> Defect:
    """The same of a boat no charter has."""
    return report_defect(cast.boat["blank page"], words="Burning smell", at=NOW, reporter="Mate")


def look_page(browser, defect):
    return browser.get(reverse("look", args=["harbour", defect.pk]))


def test_one_tap_nothing_there_ends_it_with_a_name_and_what_was_seen(cast, engineer, in_port):
    assert tap(engineer, look_page(engineer, in_port), "Nothing there")["Location"] == reverse(
        "week", args=["harbour"]
    )
    looked, ended = DefectStep.objects.order_by("pk")
    assert (looked.step, looked.by, looked.why) == ("looked at", "Engineer", "Looked, nothing found")
    assert (ended.step, ended.by) == ("no fault found", "Engineer")
    assert not Defect.objects.not_looked_at().exists()


def test_of_a_boat_that_is_out_it_says_so_and_keeps_what_the_skipper_says(cast, engineer, smell):
    type(cast.charter["S2"]).objects.filter(code="S2").update(skipper="A. Skipper")
    page = look_page(engineer, smell)
    assert "She is out until Sat 30 May" in said(page)
    assert "nobody can look ashore; ring the skipper, A. Skipper." in said(page)
    assert "everyone on deck" in said(page), "what is read out to who is aboard"
    assert 'class="main"' not in page.content.decode(), "nothing is the default"
    assert "By telephone:" in page.content.decode()
    tap(engineer, page, "The skipper says there is nothing")
    looked, ended = DefectStep.objects.order_by("pk")
    assert looked.why == ended.why == "By telephone: the skipper says there is nothing"
    assert (looked.by, ended.step) == ("Engineer", "no fault found")


def test_in_port_it_says_nothing_of_the_skipper(engineer, in_port):
    assert "skipper says" not in said(look_page(engineer, in_port))
    assert "Feel before you open" in said(look_page(engineer, in_port))
    assert "She is out" not in said(look_page(engineer, in_port))


def test_on_the_day_she_is_due_back_somebody_may_stand_beside_her(engineer, smell, today_is):
    today_is.move_to(NOW.replace(day=30, hour=3))
    assert "skipper says" not in said(look_page(engineer, smell))


def test_words_that_mean_something_else_are_looked_at_and_leave_it_open_and_ungraded(engineer, in_port):
    sent = tap(engineer, look_page(engineer, in_port), "No alarm: the words mean something else")
    assert sent["Location"] == reverse("defect", args=["harbour", in_port.pk])
    step = DefectStep.objects.get()
    assert (step.step, step.by) == ("looked at", "Engineer")
    assert step.why == "No alarm: the words mean something else"
    row = Defect.objects.open().judged().get()
    assert (row, row.grade) == (in_port, "")
    assert not Defect.objects.not_looked_at().exists()


def test_something_there_leads_on_to_its_grade_and_stays_open(engineer, smell):
    page = look_page(engineer, smell)
    sent = tap(engineer, page, "There is something", who="M. Fitter", seen="Cable melted at the breaker")
    assert sent["Location"] == reverse("grade", args=["harbour", smell.pk])
    step = DefectStep.objects.get()
    assert (step.by, step.why) == ("M. Fitter", "Cable melted at the breaker")
    assert Defect.objects.open().get() == smell
    assert tap(engineer, page, "There is something").status_code == 302
    assert DefectStep.objects.count() == 1, "sent twice it is kept once"


def test_the_office_looks_and_is_led_to_the_defect_for_it_does_not_grade(sign_in, smell):
    office = sign_in("office")
    sent = tap(office, look_page(office, smell), "There is something")
    assert sent["Location"] == reverse("defect", args=["harbour", smell.pk])


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"found": "nothing", "who": ""}, "Who looked: wanted a name"),
        ({"found": "", "who": "A"}, "What was seen: wanted nothing there, or there is something"),
        ({"found": "nothing", "who": "A", "seen": "x" * 501}, "What was seen: wanted up to 500 letters"),
    ],
)
def test_a_look_without_a_name_or_an_answer_is_not_kept(engineer, smell, typed, wanted):
    page = engineer.post(reverse("look", args=["harbour", smell.pk]), typed)
    assert page.status_code == 422
    assert wanted in said(page)
    assert typed.get("seen", "") in page.content.decode()
    assert not DefectStep.objects.exists()


def test_what_has_ended_is_not_looked_at_again(engineer, smell):
    page = look_page(engineer, smell)
    tap(engineer, page, "there is nothing")
    assert look_page(engineer, smell)["Location"] == reverse("defect", args=["harbour", smell.pk])
    assert tap(engineer, page, "There is something").status_code == 302
    assert DefectStep.objects.filter(step="looked at").count() == 1
