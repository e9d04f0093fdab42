"""A defect in a minute on the phone: eight taps at most, any script, and what is wanted said at once."""

import pytest
from playwright.sync_api import expect

from maintenance.defects.models import Defect
from tests.journeys.axe import found_on
from tests.journeys.filling_in import choose, nothing_waits, on_phone, open_form, report, send, shown_photos
from tests.papers import encoded, painted

pytestmark = pytest.mark.django_db(transaction=True)
MOST_TAPS = 8
TARGET = 44  # px
MOST_WORDS = 19_000
HEBREW = "המשאבה דולפת 🚤🇭🇷 מאז אתמול"
PHOTO = {"name": "pump.jpg", "mimeType": "image/jpeg", "buffer": encoded(painted(900, 600))}


def test_a_defect_is_sent_with_a_photo_in_at_most_eight_taps(link, pocket):
    page = pocket.new_page()
    page.goto(link)
    taps = []
    page.expose_function("tapped", lambda what: taps.append(what))
    page.evaluate("addEventListener('click', (event) => tapped(event.target.outerHTML), true)")
    page.locator("label.pick", has_text="Sandpiper locker").tap()
    page.get_by_label("What happens").tap()
    page.keyboard.type("Pump weeps")
    page.locator("label:has([name=works][value=sometimes])").tap()
    page.locator("label:has([name=danger][value=no])").tap()
    with page.expect_file_chooser() as chooser:
        page.get_by_label("Photos").tap()
    chooser.value.set_files([PHOTO])
    page.get_by_role("button", name="Send to the base").tap()
    page.wait_for_url("**/sent/")
    nothing_waits(page)
    assert 0 < len(taps) <= MOST_TAPS, taps
    defect = Defect.objects.get()
    assert (defect.words, defect.works, defect.risk_now) == ("Pump weeps", "sometimes", False)
    assert (defect.place.name, defect.papers.count()) == ("Sandpiper locker", 1)


def test_words_in_any_script_arrive_letter_by_letter(link, pocket):
    page = open_form(pocket, link)
    report(page, HEBREW)
    page.get_by_label("Your name").fill("دانة 👩‍✈️")
    page.route("**/reports/", lambda route: route.abort())
    send(page)
    page.wait_for_url("**/sent/")
    words = page.locator("#kept .words")
    expect(words).to_contain_text(HEBREW)
    assert words.evaluate("(one) => one.matches(':dir(rtl)')")
    page.unroute("**/reports/")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    nothing_waits(page)
    defect = Defect.objects.get()
    assert (defect.words, defect.reporter) == (HEBREW, "دانة 👩‍✈️")


def test_too_few_or_too_many_words_are_named_and_nothing_is_lost(link, pocket):
    page = open_form(pocket, link)
    page.get_by_label("Your name").fill("Mate")
    send(page)
    words = page.get_by_label("What happens")
    expect(words).to_be_focused()
    expect(page.get_by_text("What happens: wanted a few words")).to_be_visible()
    expect(words).to_have_attribute("aria-invalid", "true")
    boats = "⛵" * 10 + "🚤" * MOST_WORDS  # a letter each, though each 🚤 is two in the browser
    words.fill(boats)
    send(page)
    said = f"What happens: wanted up to {MOST_WORDS} letters, found {MOST_WORDS + 10}"
    expect(page.get_by_text(said)).to_be_visible()
    words.fill(boats[10:])
    expect(page.get_by_label("Your name")).to_have_value("Mate")
    send(page)
    page.wait_for_url("**/sent/")
    nothing_waits(page)
    assert Defect.objects.get().words == boats[10:]


@pytest.mark.parametrize("width", [390, 1280])
def test_what_the_script_adds_is_clear_to_everybody(link, pocket, width):
    page = open_form(pocket, link)
    page.set_viewport_size({"width": width, "height": 900})
    page.get_by_label("Your name").fill("Mate")
    choose(page, PHOTO)
    shown_photos(page, 1)
    send(page)
    faults = found_on(page)
    page.get_by_label("What happens").fill("Leaks")
    page.locator("label:has([name=danger][value=yes])").tap()
    page.route("**/reports/", lambda route: route.abort())
    send(page)
    page.wait_for_url("**/sent/")
    expect(page.locator("#danger-kept")).to_be_visible()
    assert not (faults + found_on(page))
    assert [one["stand"] for one in on_phone(page)["entries"]] == ["kept"]
    page.evaluate("document.documentElement.style.fontSize = '200%'")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    for button in page.locator("#kept summary, #kept button").all():
        assert not button.is_visible() or button.bounding_box()["height"] >= TARGET
