"""A burning smell: from the skipper's form to the look, the hold, a sister ship's part, the release by
telephone and what the next skipper is told."""

import re

import pytest
import time_machine
from django.test import override_settings
from django.urls import reverse
from playwright.sync_api import expect

from fleet.boats.models import Boat, Fitting
from fleet.charters.models import Charter
from maintenance.defects.models import Defect
from maintenance.exchange.demo.building import build
from maintenance.exchange.demo.way_in import BOAT, SECRET
from maintenance.jobs.models import PartTaken
from maintenance.release.models import Release
from maintenance.turnaround.models import Handover
from tests.journeys.saturday import PHONE, Somebody, saturday_morning
from tests.once_more import once_more

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.xdist_group("saturday")]
WORDS = "Burning smell from the engine when she runs fast"


@pytest.fixture
def saturday(transactional_db, live_server):
    """The demo base on a Saturday morning, by every clock."""
    moment = saturday_morning()
    with (
        time_machine.travel(moment, tick=True),
        override_settings(ALLOWED_HOSTS=["localhost", "127.0.0.1"]),
    ):
        once_more(("demo", moment), lambda: build(moment))
        yield live_server.url


def skipper_reports(browser, address: str) -> None:
    """No account, no script; the danger question is left blank, and asked once more by the words."""
    page = browser.new_context(java_script_enabled=False, viewport=PHONE).new_page()
    page.goto(address + reverse("skipper", args=[SECRET]))
    page.get_by_label("What happens").fill(WORDS)
    page.get_by_role("button", name="Send to the base").click()
    expect(page.get_by_role("heading", name="Is it happening now?")).to_be_visible()
    page.get_by_role("button", name="Not any more").click()
    expect(page.get_by_role("heading", name="Is it happening now?")).to_be_hidden()
    page.context.close()


def test_a_burning_smell_from_the_form_to_the_handover(saturday, browser):
    boat = Boat.objects.get(code=BOAT)
    charter = Charter.objects.next_from(saturday_morning().date()).filter(boat=boat).first()
    skipper_reports(browser, saturday)
    report = Defect.objects.get(words__startswith=WORDS)

    engineer = Somebody(browser, saturday, "engineer")
    engineer.sees(WORDS)
    engineer.open("handover", charter=charter.pk)
    engineer.sees("She is held")
    assert engineer.page.get_by_role("button", name=re.compile("^Hand .* over")).count() == 0

    engineer.open("week")
    engineer.tap(re.compile("^I looked: .*Burning smell"))
    engineer.page.get_by_label(re.compile("What was seen")).fill("Belt slipping, pulley hot and blue")
    engineer.tap(re.compile("There is something"))
    engineer.open("grade", defect=report.pk)
    engineer.page.get_by_role("radio", name=re.compile("^Unsafe")).check(force=True)
    engineer.tap("Grade it")
    engineer.open("boat", boat=boat.pk)
    engineer.sees("Held")
    engineer.sees(f"Unsafe: {WORDS}")

    engineer.open("defect", defect=report.pk)
    engineer.tap("Take the part from another boat")
    engineer.tap(re.compile("^Drive belt"))
    engineer.tap(re.compile("^Take it from "))
    taken = PartTaken.objects.get()
    assert taken.to_boat == boat
    assert Fitting.objects.standing().get(component=taken.component, removed_on=None).boat == boat
    engineer.open("boat", boat=taken.from_boat_id)
    engineer.sees("Held")
    engineer.sees(f"taken for {boat.name}")

    engineer.take_back(boat.pk)
    engineer.walk_the_round(boat.pk)
    engineer.release(boat.pk, how="Did the work", other="Ilda Serrão")
    said = Release.objects.standing().get(boat=boat, charter=charter)
    assert said.names_needed == 2
    assert {name.how for name in said.names.all()} == {"did the work", "by telephone"}
    assert "Burning smell" in said.names.get(how="by telephone").read_out

    engineer.hand_over(charter.pk)
    page = engineer.open("handover-sheet", charter=charter.pk)
    engineer.sees(f"{charter.code}")
    told = Handover.objects.standing().get(charter=charter)
    assert told.not_done == []
    assert told.release == said
    for limit in told.told["limits"]:
        expect(page.locator("main")).to_contain_text(limit)
    manager = Somebody(browser, saturday, "manager")
    manager.open("releases")
    manager.sees(WORDS)
    manager.tap("Confirm it as Ilda Serrão")
    assert said.names.standing().filter(how="confirmed", confirms__how="by telephone").count() == 1
