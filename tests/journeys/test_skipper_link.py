"""At sea with the link from the folder: no account, no script, and what the base says to it."""

import re

import pytest
from django.test import override_settings
from django.urls import reverse
from playwright.sync_api import expect

from maintenance.defects.actions import answer_report
from maintenance.exchange.demo.way_in import SECRET
from maintenance.turnaround.models import LinkDefect, LinkReturn
from tests.journeys.conftest import WIDTHS
from tests.papers import encoded, painted

pytestmark = pytest.mark.django_db(transaction=True)
TARGET = 56  # px, the least a wet thumb hits


@pytest.fixture(params=WIDTHS, ids=list(WIDTHS))
def aboard(request, base, live_server, browser):
    """The link opened on a device that runs no script and has never been here."""
    size = {"width": WIDTHS[request.param], "height": 900}
    with override_settings(ALLOWED_HOSTS=["localhost", "127.0.0.1"]):
        context = browser.new_context(java_script_enabled=False, viewport=size)
        page = context.new_page()
        page.goto(live_server.url + reverse("skipper", args=[SECRET]))
        yield page
        context.close()


def runs_off_the_side(page) -> bool:
    """Without a script the page cannot be asked how wide it is; its longest lines can."""
    width = page.viewport_size["width"]
    boxes = [box.bounding_box() for box in page.locator("main *:visible").all()[:120]]
    return any(box and box["x"] + box["width"] > width + 1 for box in boxes)


def test_a_report_with_a_photo_is_sent_and_the_answer_read(aboard):
    page = aboard
    expect(page.get_by_role("link", name=re.compile("Ring the base"))).to_be_in_viewport()
    assert not runs_off_the_side(page)
    for tile in page.locator(".phone :is(.tiles .pick, button.main, summary):visible").all():
        assert tile.bounding_box()["height"] >= TARGET
    page.get_by_role("radio", name="Heads, forward").check(force=True)
    page.get_by_label("What happens").fill("Die Pumpe saugt nicht")
    page.get_by_role("radio", name="Sometimes").check(force=True)
    photo = {"name": "pump.jpg", "mimeType": "image/jpeg", "buffer": encoded(painted())}
    page.get_by_label("Photos").set_input_files([photo])
    page.get_by_role("button", name="Send to the base").click()
    expect(page.locator(".notice[role=status]")).to_contain_text("Sent to")
    sent = page.locator("article", has_text="Die Pumpe saugt nicht")
    expect(sent).to_contain_text("Heads, forward; works at times")
    with page.expect_navigation():
        sent.get_by_role("link", name="Photo 1").click()
    report = LinkDefect.objects.latest("pk").defect
    answer_report(report, words="Bitte Seeventil prüfen", who="Tomé", at=report.recorded_at)
    page.go_back()
    page.reload()
    expect(sent).to_contain_text("Bitte Seeventil prüfen")


def test_what_is_wrong_in_the_form_comes_back_with_the_photo_and_the_words(aboard):
    page = aboard
    photo = {"name": "pump.jpg", "mimeType": "image/jpeg", "buffer": encoded(painted())}
    page.get_by_label("Photos").set_input_files([photo])
    page.get_by_label("Your name").fill("Mate")
    page.get_by_role("button", name="Send to the base").click()
    expect(page.locator("form .caution")).to_contain_text("What happens: wanted a few words")
    expect(page.get_by_label("Your name")).to_have_value("Mate")
    page.get_by_label("What happens").fill("Leaks")
    page.get_by_role("button", name="Send to the base").click()
    expect(page.get_by_role("link", name="Photo 1")).to_be_visible()


def test_the_return_asks_about_a_mistyped_meter_and_takes_the_answer_by_one_tap(aboard):
    page = aboard
    page.get_by_role("link", name="Giving her back").click()
    dial = page.locator("input[name^=dial-]")
    last = re.search(r"last ([\d\u202f.]+) h", page.locator("form").inner_text())[1].replace("\u202f", "")
    dial.fill(str(round(float(last) + 3) * 10))
    page.get_by_role("button", name="Send to the base").click()
    asked = page.get_by_role("alert")
    expect(asked).to_contain_text("cannot be right")
    asked.locator("button[name=meant]").first.click()
    expect(page.locator(".notice[role=status]").first).to_contain_text("Sent to")
    reading = LinkReturn.objects.latest("pk").filed.readings.get().reading
    assert float(last) <= float(reading.dial) < float(last) + 10
