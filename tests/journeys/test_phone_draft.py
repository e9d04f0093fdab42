"""A draft on the phone: a reload, a closed tab, a page left in a hurry lose nothing."""

import pytest
from playwright.sync_api import expect

from tests.journeys.filling_in import choose, on_phone, open_form, ready, report, shown_photos, tap, until
from tests.papers import encoded, painted

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.long]
PHOTO = {"name": "pump.jpg", "mimeType": "image/jpeg", "buffer": encoded(painted(900, 600))}


def test_what_was_typed_tapped_and_photographed_is_there_again(link, pocket):
    page = open_form(pocket, link)
    report(page, "Pump weeps\nsince Tuesday")
    tap(page, "danger", "no")
    tap(page, "where", "unsure")
    page.locator("summary", has_text="Used a spare").click()
    page.get_by_label("Something else used").fill("two clamps")
    choose(page, PHOTO, PHOTO | {"name": "again.jpg"})
    shown_photos(page, 2)
    page.get_by_role("button", name="Remove: Photo 1").tap()
    shown_photos(page, 1)
    page.get_by_label("Your name").fill("Mate")
    page.close()  # at once: there is no third of a second for the last letter
    page = open_form(pocket, link)
    for _ in range(2):
        expect(page.get_by_label("What happens")).to_have_value("Pump weeps\nsince Tuesday")
        expect(page.locator("[name=danger][value=no]")).to_be_checked()
        expect(page.locator("[name=works][value=sometimes]")).to_be_checked()
        expect(page.locator("[name=where][value=unsure]")).to_be_checked()
        expect(page.get_by_label("Something else used")).to_have_value("two clamps")
        expect(page.get_by_label("Something else used")).to_be_visible()
        expect(page.get_by_label("Your name")).to_have_value("Mate")
        shown_photos(page, 1)
        page.reload()
        ready(page)
    assert on_phone(page)["drafts"] == 1


def test_a_form_emptied_again_is_no_draft(link, pocket):
    page = open_form(pocket, link)
    page.get_by_label("What happens").fill("No, it works")
    until(page, "async () => (await idb.openDB('fettle')).count('drafts')")
    page.get_by_label("What happens").fill("")
    until(page, "async () => !(await (await idb.openDB('fettle')).count('drafts'))")


def test_a_browser_that_keeps_nothing_still_has_the_plain_form(link, pocket):
    pocket.add_init_script("Object.defineProperty(self, 'indexedDB', { value: undefined })")
    page = pocket.new_page()
    page.goto(link)
    report(page, "Leaks")
    page.get_by_role("button", name="Send to the base").click()
    expect(page.locator("#entries article")).to_contain_text("Leaks")
    expect(page.get_by_role("status").first).to_contain_text("Sent to Harbour")
