"""A winter, from lay-up to the first charter: laid up, fitted out, signed, released."""

from datetime import datetime, timedelta

import pytest
import time_machine
from playwright.sync_api import expect

from fleet.boats.facts import base_of
from fleet.boats.models import BoatTerms
from fleet.charters.models import Charter
from maintenance.defects.actions import grade_defect, report_defect
from maintenance.defects.deferring import Until, defer_defect
from maintenance.defects.models import Defect
from maintenance.release.facts import judge
from maintenance.release.models import FittingOut
from tests.journeys.saturday import Somebody, saturday_morning
from tests.journeys.test_burning_smell import saturday  # noqa: F401

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.xdist_group("saturday"), pytest.mark.long]
WAITS = "Teak seam lifting at the stern step"


def test_a_winter_from_lay_up_to_the_first_charter(saturday, browser):  # noqa: F811
    at = saturday_morning()
    charter = first_after_a_winter(at)
    boat = charter.boat
    defect = report_defect(boat, words=WAITS, at=at)
    grade_defect(defect, grade="cosmetic", who="Tomé", at=at)
    defer_defect(defect, Until(layup=True), who="Tomé", at=at)

    engineer = Somebody(browser, saturday, "engineer")
    engineer.take_back(boat.pk)
    engineer.open("winter")
    engineer.tap(boat.name)
    engineer.sees(WAITS)
    engineer.tap("Lay up")
    engineer.open("boat", boat=boat.pk)
    engineer.sees("She is laid up")
    engineer.open("release", boat=boat.pk)
    expect(engineer.page.locator("main")).to_contain_text("She is laid up")

    goes_out = at + timedelta(days=(charter.starts_on - at.date()).days)
    with time_machine.travel(goes_out, tick=True):
        fitted_out(Somebody(browser, saturday, "engineer"), charter, defect, goes_out)


def fitted_out(engineer: Somebody, charter: Charter, defect: Defect, at: datetime) -> None:
    """Made ready and signed; what waited for the winter is settled before she goes."""
    boat = charter.boat
    page = engineer.open("winter-boat", boat=boat.pk)
    engineer.tap("Begin fitting-out")
    engineer.open("boat", boat=boat.pk)
    engineer.sees("Fitting-out is not signed")
    page = engineer.open("winter-boat", boat=boat.pk)
    page.get_by_label("What was done, what is left").fill("Antifouled, anodes, rig looked over from aloft")
    engineer.tap("Sign fitting-out")
    signed = FittingOut.objects.standing().filter(boat=boat).latest("pk")
    assert signed.who == engineer.name
    engineer.open("boat", boat=boat.pk)
    assert "Fitting-out is not signed" not in engineer.page.inner_text("main")
    engineer.sees(f"Its deferral ends before she is back: {WAITS}")
    engineer.open("defect", defect=defect.pk)
    engineer.page.get_by_label("It was").select_option("put right")
    engineer.tap("Record it")
    engineer.open("boat", boat=boat.pk)
    assert "Its deferral ends before she is back" not in engineer.page.inner_text("main")

    engineer.walk_the_round(boat.pk)
    engineer.release(boat.pk)
    engineer.hand_over(charter.pk)
    base = base_of(boat, at.date())
    judged = judge(boat, charter, base=base, on=base.day_of(at), now=at + timedelta(hours=2))
    assert judged.standing.verdict in ("fit", "fit with limits")
    assert BoatTerms.objects.standing().filter(boat=boat).order_by("from_on").last().state == "in use"


def first_after_a_winter(at: datetime) -> Charter:
    """The next charter of a boat that does not go out today."""
    today = at.date()
    busy = Charter.objects.booked().filter(starts_on__lte=today, ends_on__gt=today).values("boat")
    ahead = Charter.objects.booked().filter(starts_on__gt=today).exclude(boat__in=busy)
    charter = ahead.order_by("starts_on", "pk").first()
    assert charter is not None, "the demo has no boat in port for this journey"
    return charter
