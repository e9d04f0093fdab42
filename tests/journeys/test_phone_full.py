"""A phone with no room left: the words come first, and what is not kept is said."""

import pytest
from playwright.sync_api import expect

from maintenance.defects.models import Defect
from tests.journeys.filling_in import choose, on_phone, open_form, ready, report, send, shown_photos
from tests.papers import encoded, speckled

pytestmark = pytest.mark.django_db(transaction=True)
PHOTO = {"name": "one.jpg", "mimeType": "image/jpeg", "buffer": encoded(speckled(800, 600))}
LARGER = {"name": "two.jpg", "mimeType": "image/jpeg", "buffer": encoded(speckled(1200, 900))}
KEPT_READY, OF_A_PHOTO = 1_000_000, 300_000  # bytes: what lies ready for words, and about what PHOTO takes


def gives_room(page, most: int) -> None:
    """The browser lets this base have so many bytes and no more; what it says of them stays made up."""
    devtools = page.context.new_cdp_session(page)
    origin = page.evaluate("location.origin")
    devtools.send("Storage.overrideQuotaForOrigin", {"origin": origin, "quotaSize": most})


@pytest.mark.long
def test_a_photo_that_has_no_room_is_named_and_the_words_go_on_being_kept(link, pocket):
    page = open_form(pocket, link)
    gives_room(page, KEPT_READY + OF_A_PHOTO + 400_000)
    report(page, "Shroud frayed")
    choose(page, PHOTO)
    shown_photos(page, 1)
    assert on_phone(page)["ready"] == 1
    choose(page, LARGER)
    expect(page.get_by_role("alert")).to_have_text(
        "This phone is full: two.jpg is not kept on it. Your words are. Photos kept on this phone: 1"
    )
    gives_room(page, OF_A_PHOTO + 500_000)
    for letter in "абвгдежзийкл":  # the store writes each anew before it lets the last one go
        page.get_by_label("What happens").fill(letter * 19_000)
        page.wait_for_timeout(400)
    expect(page.get_by_role("alert")).to_contain_text("two.jpg is not kept")  # and nothing of the words
    assert on_phone(page)["ready"] == 0
    page.reload()
    ready(page)
    expect(page.get_by_label("What happens")).to_have_value("л" * 19_000)
    shown_photos(page, 1)


def test_words_that_have_no_room_are_said_so_and_go_the_plain_way_at_once(link, pocket):
    page = open_form(pocket, link)
    gives_room(page, 1)
    report(page, "Shroud frayed")
    expect(page.get_by_role("alert")).to_contain_text(
        "This phone is full: what you typed just now is not kept"
    )
    pocket.set_offline(True)
    send(page)
    expect(page.get_by_role("alert")).to_contain_text("Send it now, or copy it")
    expect(page.get_by_label("What happens")).to_have_value("Shroud frayed")
    assert on_phone(page)["entries"] == []
    pocket.set_offline(False)
    send(page)
    page.wait_for_url("**/sent/#said")
    assert Defect.objects.get().words == "Shroud frayed"
