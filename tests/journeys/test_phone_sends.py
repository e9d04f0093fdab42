"""What the phone keeps is sent once, by itself, and only the base's own answer is believed."""

import pytest
from playwright.sync_api import expect

from fleet.charters.links import revoke_link
from fleet.charters.models import Link
from maintenance.defects.actions import answer_report
from maintenance.defects.models import Defect, DefectPaper
from tests.cast import NOW
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
from tests.papers import encoded, painted, speckled

pytestmark = pytest.mark.django_db(transaction=True)
PHOTO = {"name": "pump.jpg", "mimeType": "image/jpeg", "buffer": encoded(painted(900, 600))}
SIGN_IN = "<!doctype html><title>Harbour wifi</title><h1>Sign in to go on</h1>"
WAKE = "document.dispatchEvent(new Event('visibilitychange'))"


def answering(**answer):
    """Somebody in the line who answers for the base."""
    return lambda route: route.fulfill(**answer)


def line_of_what_waits(page):
    return page.locator("#kept summary")


def test_two_tabs_send_once(link, pocket):
    one = open_form(pocket, link)
    report(one, "Bilge pump runs on")
    choose(one, PHOTO)
    shown_photos(one, 1)
    other = open_form(pocket, link)
    expect(other.get_by_label("What happens")).to_have_value("Bilge pump runs on")
    pocket.set_offline(True)
    for tab in (one, other):
        send(tab)
        expect(line_of_what_waits(tab)).to_have_text("Kept on this phone, not sent yet: 1", timeout=15_000)
    pocket.set_offline(False)  # both tabs hear of it
    nothing_waits(one)
    assert Defect.objects.filter(words__startswith="Bilge pump runs on").count() == 1
    assert DefectPaper.objects.count() == 1


@pytest.mark.long
def test_other_words_in_a_second_tab_are_a_report_of_their_own(link, pocket):
    one = open_form(pocket, link)
    report(one, "Bilge pump runs on")
    one.wait_for_timeout(400)
    other = open_form(pocket, link)
    send(one)
    one.wait_for_url("**/sent/")
    other.get_by_label("What happens").fill("And the light is out")
    other.wait_for_timeout(400)
    send(other)
    other.wait_for_url("**/sent/")
    nothing_waits(other)
    words = set(Defect.objects.values_list("words", flat=True))
    assert words == {"Bilge pump runs on", "And the light is out"}


@pytest.mark.long
def test_a_harbours_sign_in_page_is_no_acknowledgement(link, pocket):
    page = open_form(pocket, link)
    report(page, "Anchor windlass stuck")
    choose(page, PHOTO)
    shown_photos(page, 1)
    page.route("**/reports/", answering(status=200, content_type="text/html", body=SIGN_IN))
    send(page)
    page.wait_for_url("**/sent/")
    expect(page.locator("#kept article")).to_contain_text("Anchor windlass stuck")
    was_tried(page, 1)
    for tries, lie in enumerate(
        (
            {"status": 200, "content_type": "application/json", "body": '{"id": "another", "stand": "sent"}'},
            {"status": 404, "content_type": "text/html", "body": SIGN_IN},
            {"status": 500, "content_type": "text/html", "body": "<h1>Server Error</h1>"},
        ),
        2,
    ):
        page.unroute("**/reports/")
        page.route("**/reports/", answering(**lie))
        page.evaluate(WAKE)
        was_tried(page, tries)
        expect(line_of_what_waits(page)).to_have_text("Kept on this phone, not sent yet: 1")
    kept = on_phone(page)
    assert (kept["photos"], kept["blobs"]) == (1, 1)
    assert [one["stand"] for one in kept["entries"]] == ["kept"]
    page.unroute("**/reports/")
    page.route("**/photos/**", answering(status=204))  # nobody's: it says no offset
    page.evaluate(WAKE)
    was_tried(page, 5)
    assert on_phone(page)["blobs"] == 1
    page.unroute("**/photos/**")
    page.evaluate(WAKE)
    nothing_waits(page)
    assert DefectPaper.objects.filter(defect__words="Anchor windlass stuck").count() == 1


def test_a_photo_goes_on_where_it_was_cut(link, pocket):
    page = open_form(pocket, link)
    report(page, "Sail torn")
    noise = {"name": "sail.png", "mimeType": "image/png", "buffer": encoded(speckled(900, 700), "PNG")}
    choose(page, noise)
    shown_photos(page, 1)
    pieces = []

    def line(route):
        pieces.append(int(route.request.headers.get("upload-offset", "-1")))
        if len(pieces) == 3:
            return route.abort()
        return route.continue_()

    page.route("**/photos/**", line)
    send(page)
    page.wait_for_url("**/sent/")
    was_tried(page, 1)
    page.evaluate(WAKE)
    nothing_waits(page)
    assert pieces[:3] == [0, 131072, 262144]
    assert pieces[3:5] == [-1, 262144]  # it asks how far the base has it, and goes on there
    assert pieces.count(0) == 1
    assert DefectPaper.objects.filter(defect__words="Sail torn").count() == 1


@pytest.mark.long
def test_how_it_stands_changes_by_itself(link, pocket):
    page = open_form(pocket, link)
    report(page, "Heads blocked")
    send(page)
    page.wait_for_url("**/sent/")
    article = page.locator("article:visible", has_text="Heads blocked")
    expect(article).to_have_count(1)
    expect(article).to_contain_text("Sent", timeout=15_000)
    defect = Defect.objects.get(words="Heads blocked")
    answer_report(defect, words="Use the other one", who="Tomé", at=NOW)
    page.evaluate(WAKE)
    expect(article).to_contain_text("Use the other one", timeout=15_000)
    assert on_phone(page)["entries"] == []


def test_a_link_that_was_closed_leaves_the_words_and_the_telephone(link, pocket):
    page = open_form(pocket, link)
    report(page, "Rudder knocks")
    revoke_link(Link.objects.get(), at=NOW)
    send(page)
    page.wait_for_url("**/sent/")
    kept = page.locator("#kept article")
    expect(kept).to_contain_text("The base closed this way in", timeout=15_000)
    expect(kept.get_by_role("link", name="Ring the base")).to_have_attribute("href", "tel:+302105550101")
    expect(kept.get_by_label("What you wrote")).to_have_value("Rudder knocks\nDoes it work now? Sometimes")
    page.reload()
    expect(kept.get_by_label("What you wrote")).to_have_value("Rudder knocks\nDoes it work now? Sometimes")


@pytest.mark.long
def test_what_the_base_could_not_take_is_changed_and_sent_under_the_same_id(link, pocket):
    page = open_form(pocket, link)
    report(page, "Fridge warm")
    choose(page, PHOTO)
    shown_photos(page, 1)
    told = '{"title": "Cannot be", "status": 422, "detail": "Words: wanted more of them"}'
    refusal = {"status": 422, "content_type": "application/problem+json", "body": told}
    page.route("**/reports/", answering(**refusal))
    send(page)
    page.wait_for_url("**/sent/")
    kept = page.locator("#kept article")
    expect(kept).to_contain_text("The base could not take this")
    expect(kept).to_contain_text("Words: wanted more of them")
    before = on_phone(page)["entries"][0]["id"]
    page.unroute("**/reports/")
    kept.get_by_role("button", name="Change it").tap()
    ready(page)
    expect(page.get_by_label("What happens")).to_have_value("Fridge warm")
    shown_photos(page, 1)
    page.get_by_label("What happens").fill("Fridge warm since noon")
    send(page)
    page.wait_for_url("**/sent/")
    nothing_waits(page)
    defect = Defect.objects.get()
    assert (defect.words, defect.client_id, defect.papers.count()) == ("Fridge warm since noon", before, 1)


def test_danger_stands_on_top_before_the_base_has_it(link, pocket):
    page = open_form(pocket, link)
    report(page, "Water over the floorboards")
    tap(page, "danger", "yes")
    expect(page.locator(".if-yes").get_by_role("link", name="Ring the base")).to_be_visible()
    page.route("**/reports/", lambda route: route.abort())
    send(page)
    page.wait_for_url("**/sent/")
    expect(page.locator(".phone > :first-child")).to_contain_text("The base may not have it yet")
    expect(page.locator("#danger-kept").get_by_role("link", name="Ring the base")).to_be_in_viewport()
    page.unroute("**/reports/")
    page.evaluate(WAKE)
    expect(page.locator("#now")).to_contain_text("VHF channel 16", timeout=15_000)
    expect(page.locator("#danger-kept")).to_have_count(0)
