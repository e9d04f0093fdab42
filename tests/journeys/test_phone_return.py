"""The return from the phone: each dial with its photo, a doubtful one asked about once, gas on top."""

import pytest
from playwright.sync_api import expect

from maintenance.turnaround.models import LinkReturn
from tests.journeys.filling_in import (
    SEND,
    choose,
    nothing_waits,
    on_phone,
    open_form,
    ready,
    shown_photos,
    tap,
)
from tests.papers import encoded, painted

pytestmark = pytest.mark.django_db(transaction=True)
DIAL = {"name": "dial.jpg", "mimeType": "image/jpeg", "buffer": encoded(painted(900, 600))}


def dial_of(page):
    return page.locator("[data-dial]").first


def test_a_return_with_a_photo_of_the_dial_is_kept_and_sent(link, pocket):
    page = open_form(pocket, f"{link}return/")
    dial = dial_of(page)
    last = float(dial.get_attribute("data-last"))
    dial.fill(f"{last + 4:.1f}".replace(".", ","))
    choose(page, DIAL, into=".camera input >> nth=0")
    shown_photos(page, 1)
    choose(page, DIAL, into=".camera input >> nth=0")  # taken again: it stands for the first
    shown_photos(page, 1)
    tap(page, "ask-water_in_bilge", "no")
    page.get_by_label("Lost or broken").fill("a winch handle\ntwo fenders")
    page.reload()
    ready(page)
    shown_photos(page, 1)
    expect(page.get_by_label("Lost or broken")).to_have_value("a winch handle\ntwo fenders")
    page.get_by_role("button", name=SEND).tap()
    page.wait_for_url("**/sent/")
    nothing_waits(page)
    came = LinkReturn.objects.get()
    reading = came.filed.readings.get().reading
    assert float(reading.dial) == last + 4
    assert came.filed.answers["water_in_bilge"] is False
    assert {link.defect.words for link in came.filed.defects.all()} >= {"a winch handle", "two fenders"}
    photo = came.photos.get()
    assert (photo.meter, photo.paper is not None) == (reading.meter, True)


def test_a_doubtful_dial_is_asked_about_once_and_never_refused(link, pocket):
    page = open_form(pocket, f"{link}return/")
    dial = dial_of(page)
    dial.fill("1")
    page.get_by_role("button", name=SEND).tap()
    asked = page.get_by_role("alert")
    expect(asked).to_contain_text("Is this what the dial shows?")
    asked.get_by_role("button", name="No, correct it").tap()
    expect(dial).to_be_focused()
    page.get_by_role("button", name=SEND).tap()
    asked.get_by_role("button", name="Yes, send it").tap()
    page.wait_for_url("**/sent/")
    nothing_waits(page)
    assert float(LinkReturn.objects.get().filed.readings.get().reading.dial) == 1


def test_gas_stands_on_top_while_there_is_no_net(link, pocket):
    page = open_form(pocket, f"{link}return/")
    tap(page, "ask-gas_or_fumes_smelled", "yes")
    pocket.set_offline(True)
    page.get_by_role("button", name=SEND).tap()
    expect(page.locator("#kept summary")).to_have_text("Kept on this phone, not sent yet: 1", timeout=15_000)
    expect(page.locator(".phone > :first-child")).to_contain_text("shut off at the bottle")
    expect(page.get_by_role("link", name="Ring the base").first).to_be_in_viewport()
    assert on_phone(page)["drafts"] == 0
    expect(page.locator("[name=ask-gas_or_fumes_smelled][value=yes]")).not_to_be_checked()


def test_a_return_that_says_nothing_is_a_slip_of_the_thumb(link, pocket):
    page = open_form(pocket, f"{link}return/")
    page.get_by_label("Your name").fill("Mate")
    page.get_by_role("button", name=SEND).tap()
    expect(page.get_by_role("alert")).to_contain_text("Nothing was said: wanted hours")
    expect(page.get_by_label("Your name")).to_have_value("Mate")
