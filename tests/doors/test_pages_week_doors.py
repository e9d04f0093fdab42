"""The week shows what came in by the other doors: dates that do not hold, what skippers wrote."""

from datetime import date

import pytest
from django.urls import reverse

from fleet.charters.links import make_link
from maintenance.defects.actions import (
    answer_report,
    end_defect,
    grade_defect,
    look_at,
    report_defect,
    say_if_happening,
    see_report,
)
from maintenance.defects.correcting import correct_defect
from maintenance.turnaround.by_link import Told, report_by_link
from tests import factories as make
from tests.cast import NOW, Cast
from tests.doors.sheets import said


def week(browser) -> str:
    return said(browser.get(reverse("week", args=["harbour"])))


@pytest.fixture
def extinguisher(cast: Cast):
    """A thing with a date printed on it and no task that goes by it."""
    kind = make.KindFactory(code="extinguisher", system="safety")
    part = make.ComponentFactory(code="sandpiper-extinguisher", kind=kind)
    make.FittingFactory(component=part, boat=cast.boat["sandpiper"], meter=None)
    return part


def date_it(part, good_through: str) -> None:
    make.PrintedDateFactory(component=part, what="service", good_through=date.fromisoformat(good_through))


@pytest.mark.parametrize(
    ("good_through", "says"),
    [("2026-05-20", "20 May 2026, expired"), ("2026-06-02", "2 Jun, runs out at sea on S3")],
)
def test_a_date_no_task_goes_by_stands_beside_the_work_where_it_does_not_hold(
    extinguisher, engineer, good_through, says
):
    date_it(extinguisher, good_through)
    assert f"Extinguisher, service: {says}" in week(engineer)
    boat = extinguisher.fittings.get().boat_id
    assert says in said(engineer.get(reverse("boat", args=["harbour", boat])))


def test_a_date_that_holds_until_she_is_back_is_not_on_the_week(extinguisher, engineer):
    date_it(extinguisher, "2026-06-06")
    assert "Extinguisher, service" not in week(engineer)


def test_a_date_whose_task_is_on_the_list_is_said_once(cast, engineer):
    """Twice Shy's raft runs out at sea and its task goes by that date."""
    page = week(engineer)
    assert "printed date ends on Tue 2 Jun" in page
    assert "2 Jun, runs out" not in page


@pytest.fixture
def link(cast):
    return make_link(cast.charter["S2"], at=NOW)[0]


def test_what_skippers_wrote_leads_the_week_until_it_is_answered_or_ended(cast, engineer, link):
    boat = cast.boat["sandpiper"]
    first, second = (
        report_by_link(link, boat, Told(words=words), at=NOW) for words in ("Pump hums", "Lamp out")
    )
    report_defect(boat, words="Said on the pontoon", at=NOW)
    assert "Written by skippers" not in week(engineer)  # new from the crews, until somebody has seen it
    for row in (first, second):
        see_report(row, who="Tomé", at=NOW)
    page = week(engineer)
    lead = page.partition("Written by skippers, not answered")[2].partition("Thu 28")[0]
    assert "Pump hums" in lead
    assert "Lamp out" in lead
    assert "Said on the pontoon" not in lead.partition("Sandpiper back")[0][:120]
    answer_report(first, words="Thanks", who="Tomé", at=NOW)
    end_defect(second, step="put right", who="Tomé", at=NOW)
    assert "Written by skippers" not in week(engineer)


def test_a_look_a_grade_or_a_tap_is_no_answer_and_a_correction_asks_for_one_still(cast, engineer, link):
    row = report_by_link(link, cast.boat["sandpiper"], Told(words="Smoke from the panel"), at=NOW)
    say_if_happening(row, happening=True, at=NOW)
    look_at(row, who="Tomé", seen="A hot cable", nothing=False, at=NOW)
    grade_defect(row, grade="limits use", who="Tomé", at=NOW)
    assert "Written by skippers, not answered" in week(engineer)
    corrected = correct_defect(row, works="no", at=NOW)
    assert "Written by skippers, not answered" in week(engineer)
    answer_report(corrected, words="Leave it switched off", who="Tomé", at=NOW)
    assert "Written by skippers" not in week(engineer)


def test_danger_leads_what_skippers_wrote(cast, engineer, link):
    boat = cast.boat["sandpiper"]
    for told in (Told(words="Pump hums"), Told(words="Water comes in", risk_now=True)):
        see_report(report_by_link(link, boat, told, at=NOW), who="Tomé", at=NOW)
    page = week(engineer).partition("Written by skippers")[2]
    assert page.index("Water comes in") < page.index("Pump hums")
    assert "danger now" in page
