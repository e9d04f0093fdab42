"""What goes first, what a sent form comes back as, and what the phone says where it cannot do a thing."""

import json

import pytest
from playwright.sync_api import expect

from maintenance.defects.models import Defect
from tests.journeys.filling_in import (
    choose,
    nothing_waits,
    on_phone,
    open_form,
    ready,
    report,
    send,
    shown_photos,
    tap,
    was_tried,
)
from tests.papers import encoded, painted

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.long]
PHOTO = {"name": "pump.jpg", "mimeType": "image/jpeg", "buffer": encoded(painted(900, 600))}
LIST = {"name": "list.txt", "mimeType": "text/plain", "buffer": b"one winch handle"}


def cut(page):
    page.context.route("**/reports/", lambda route: route.abort())


def test_words_of_all_go_first_danger_before_the_rest_and_photos_after(link, pocket):
    page = open_form(pocket, link)
    cut(page)
    for words, danger in [("Pump weeps", "no"), ("Water comes in", "yes")]:
        report(page, words)
        tap(page, "danger", danger)
        choose(page, PHOTO)
        shown_photos(page, 1)
        send(page)
        page.wait_for_url("**/sent/")
        was_tried(page, 1)
        page.goto(link)
        ready(page)
    ids = {one["body"]["words"]: one for one in on_phone(page)["entries"]}
    went = []

    def note(request):
        if request.method == "POST" and request.url.endswith("/reports/"):
            went.append(json.loads(request.post_data)["words"])
        elif request.method == "PATCH":
            photo = request.url.rstrip("/").rsplit("/", 1)[1]
            owner = next(words for words, one in ids.items() if one["body"]["photos"][0]["id"] == photo)
            went.append(f"photo of {owner}")

    page.context.unroute("**/reports/")
    page.on("request", note)
    page.evaluate("fettle.send.flush(true)")
    nothing_waits(page)
    assert went[:2] == ["Water comes in", "Pump weeps"]
    assert list(dict.fromkeys(went[2:])) == ["photo of Water comes in", "photo of Pump weeps"]
    expect(page.locator("#kept > summary")).to_have_text("Sent")


def test_the_form_of_what_was_sent_comes_back_empty_and_makes_no_second_report(link, pocket):
    page = open_form(pocket, link)
    cut(page)
    report(page, "Pump weeps")
    choose(page, PHOTO)
    shown_photos(page, 1)
    send(page)
    page.wait_for_url("**/sent/")
    card = page.locator("#kept article")
    expect(card).to_contain_text("Does it work now? Sometimes")
    expect(card).to_contain_text("Leave this page open, or open it again when there is signal.")
    page.go_back()
    ready(page)
    expect(page.get_by_label("What happens")).to_have_value("")
    send(page)
    expect(page.get_by_text("What happens: wanted a few words")).to_be_visible()
    assert len(on_phone(page)["entries"]) == 1
    page.context.unroute("**/reports/")
    page.evaluate("fettle.send.flush(true)")
    nothing_waits(page)
    assert Defect.objects.get().words.startswith("Pump weeps")


def test_what_was_begun_says_so_in_sight_with_its_photos(link, pocket):
    page = open_form(pocket, link)
    report(page, "Pump weeps")
    choose(page, PHOTO)
    shown_photos(page, 1)
    page.reload()
    ready(page)
    begun = page.locator("#said > .begun")
    expect(begun).to_be_visible()
    expect(begun).to_have_text("What you began before stands here again. Photos: 1")


def test_hours_that_are_no_number_are_asked_for_at_the_dial(link, pocket):
    page = open_form(pocket, f"{link}return/")
    dial = page.locator("[data-dial]").first
    dial.fill("abc")
    send(page)
    expect(page.get_by_text("found “abc”, wanted hours such as 1212.4")).to_be_visible()
    expect(dial).to_be_focused()
    assert not on_phone(page)["entries"]


def test_gas_smelled_has_its_caution_and_the_telephone_and_claims_no_danger_said(link, pocket):
    page = open_form(pocket, f"{link}return/")
    page.context.route("**/returns/", lambda route: route.abort())
    tap(page, "ask-gas_or_fumes_smelled", "yes")
    send(page)
    page.wait_for_url("**/sent/")
    gas = page.locator("#gas-kept")
    expect(gas).to_contain_text("Gas or fumes: shut off at the bottle")
    expect(gas.get_by_role("link", name="Ring the base")).to_be_visible()
    expect(page.get_by_text("You said that somebody")).to_have_count(0)
    expect(page.locator("#kept article")).to_contain_text("Did anybody smell gas or fumes? Yes")


def test_what_is_no_photo_is_refused_beside_the_button_above_the_photos(link, pocket):
    page = open_form(pocket, link)
    report(page, "Leaks")
    choose(page, PHOTO, LIST)
    shown_photos(page, 1)
    refused = page.get_by_role("alert")
    expect(refused).to_contain_text("list.txt is not taken")
    assert refused.bounding_box()["y"] < page.locator(".taken li").bounding_box()["y"]


def test_a_language_tapped_without_signal_says_what_it_needs(link, pocket):
    page = open_form(pocket, link)
    pocket.set_offline(True)
    page.locator(".tongues summary").tap()
    page.get_by_role("link", name="Deutsch").tap()
    expect(page.get_by_role("alert")).to_have_text(
        "Another language needs a signal: choose it again when there is one."
    )
    pocket.set_offline(False)
    page.locator(".tongues summary").tap()
    page.get_by_role("link", name="Deutsch").tap()
    expect(page.locator("html")).to_have_attribute("lang", "de")
