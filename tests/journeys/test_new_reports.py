"""The engineer has the week open while a crew writes: it stands on top, is seen, joined, nothing jumps."""

from datetime import UTC, datetime, timedelta

import pytest
from django.test import override_settings
from playwright.sync_api import expect

from fleet.charters.links import make_link
from fleet.charters.models import Charter
from maintenance.defects.actions import report_defect
from maintenance.defects.models import Defect, DefectStep
from maintenance.exchange.demo.people import SIGN_INS
from maintenance.turnaround.by_link import Told
from maintenance.turnaround.by_phone import Kept, Odd, report_by_phone
from maintenance.turnaround.seeing import seen_at
from tests.papers import encoded, noted, painted

pytestmark = pytest.mark.django_db(transaction=True)
SOON = 5000  # ms: the figure of the promise, new reports on top within five seconds


@pytest.fixture
def way_in(base):
    """A link of a charter that is out now, and its secret."""
    now = datetime.now(UTC)
    out = Charter.objects.booked().filter(starts_on__lt=base.day_of(now), ends_on__gte=base.day_of(now))
    return make_link(out.order_by("pk").first(), at=now - timedelta(days=1))


@pytest.fixture
def link(way_in):
    return way_in[0]


def crew_writes(link, words: str, **more) -> Defect:
    now, odd = datetime.now(UTC), more.pop("odd", ())
    kept = Kept(f"{Defect.objects.count():032x}", now, now, (), odd)
    return report_by_phone(link, link.charter.boat, Told(words=words, **more), kept, at=now)


def entry(page, words: str):
    return page.locator(".came-in").filter(has_text=words)


def test_what_a_crew_writes_stands_on_top_without_a_reload_and_its_sender_reads_that_it_was_seen(
    at_the_week, link, way_in, live_server
):
    page = at_the_week
    page.evaluate("window.opened = true")
    photo = encoded(painted(), exif=noted(6))  # lies on its side, and the camera noted so
    crew_writes(link, "Kühlschrank läuft nicht", language="de", photos=[photo], reporter="Jonte")
    expect(entry(page, "Kühlschrank läuft nicht")).to_be_visible(timeout=SOON)
    assert page.evaluate("window.opened"), "the page was not loaded anew"
    expect(page.locator("#crews .came-in").first).to_contain_text("As it was written; the page spoke German.")
    shown = entry(page, "Kühlschrank").locator("img").first
    expect(shown).to_be_visible()
    shown.evaluate("photo => photo.decode()")
    assert shown.evaluate("photo => photo.naturalHeight > photo.naturalWidth"), "upright"
    entry(page, "Kühlschrank").get_by_role("link", name="Open:").click()
    expect(page.get_by_role("status").filter(has_text="its sender is told so")).to_be_visible()
    row = Defect.objects.get(words__startswith="Kühlschrank")
    assert DefectStep.objects.get(defect=row).recorded_by.name
    assert row.pk in seen_at([row.pk])
    page.goto(f"{live_server.url}/s/{way_in[1]}/sent/")
    expect(page.locator("main")).to_contain_text("Seen by the base")


def test_two_reports_of_one_thing_are_joined_by_one_touch_and_parted_by_another(at_the_week, link):
    page, now = at_the_week, datetime.now(UTC)
    first = report_defect(link.charter.boat, words="Ankerwinsch klemmt", at=now - timedelta(days=1))
    crew_writes(link, "Die Ankerwinsch geht nicht mehr")
    new = entry(page, "geht nicht mehr")
    expect(new).to_contain_text("Likely the same thing. Same words: ankerwinsch.", timeout=SOON)
    mine, other = new.locator(".words").first.bounding_box(), new.locator(".double").bounding_box()
    if page.viewport_size["width"] > 1000:
        assert other["x"] > mine["x"] + mine["width"] / 2, "side by side"
    else:
        assert other["y"] > mine["y"], "one below the other"
    new.get_by_role("button", name="Same thing: join").click()
    expect(page.locator("#crews-did")).to_contain_text("Joined")
    assert Defect.objects.standing().get(same_as=first.case)
    page.locator("#crews-did").get_by_role("button", name="Undo").click()
    expect(page.locator("#crews-did")).to_contain_text("Two things again")
    assert not Defect.objects.standing().filter(same_as__isnull=False).exists()


@pytest.mark.long
def test_a_touch_greys_its_buttons_and_says_beside_them_that_it_failed(at_the_week, link):
    page, held = at_the_week, []
    page.may_complain_of = ("ERR_FAILED", "Failed to fetch")
    crew_writes(link, "Lamp of the compass out")
    new = entry(page, "Lamp of the compass out")
    seen = new.get_by_role("button", name="Seen:")
    expect(seen).to_be_visible(timeout=SOON)
    page.route("**/seen/", lambda route: held.append(route))
    seen.click()
    expect(seen).to_be_disabled()
    page.wait_for_timeout(100)
    held.pop().abort()
    expect(new.get_by_role("alert")).to_have_text(
        "No word from the base’s machine: not kept. Touch it again."
    )
    expect(seen).to_be_enabled()
    page.unroute("**/seen/")
    seen.click()
    expect(page.locator("#crews-did")).to_contain_text("Seen: ")
    expect(new).to_have_count(0)


@pytest.mark.long
def test_what_is_new_stays_in_view_on_every_page_and_leads_to_the_list(at_the_week, link):
    page = at_the_week
    page.get_by_role("navigation", name="Pages").get_by_role("link", name="Charters").click()
    strip = page.locator("#new-strip")
    expect(strip).to_be_hidden()
    crew_writes(link, "Smell of gas in the galley")
    expect(strip).to_contain_text(f"New: {link.charter.boat.name}, Smell of gas in the galley", timeout=SOON)
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    box = strip.bounding_box()
    assert box["y"] >= 0
    assert box["height"] >= 44
    strip.get_by_role("link").click()
    expect(entry(page, "Smell of gas in the galley")).to_be_visible()
    expect(strip).to_contain_text("Smell of gas in the galley")
    entry(page, "Smell of gas in the galley").get_by_role("button", name="Seen:").click()
    expect(strip).to_be_hidden()


@pytest.mark.long
def test_a_form_being_filled_in_stays_where_it_is_and_keeps_what_was_typed(at_the_week, link):
    page = at_the_week
    field = page.locator("article.doubt input:visible").first
    field.scroll_into_view_if_needed()
    field.click()
    field.press_sequentially("12")
    before = field.bounding_box()["y"]
    for n in range(3):
        crew_writes(link, f"Thing {n} rattles")
    expect(entry(page, "Thing 2 rattles")).to_be_attached(timeout=SOON)
    assert abs(field.bounding_box()["y"] - before) < 2, "nothing jumped"
    field.press_sequentially("34")
    assert field.input_value().endswith("1234")


@pytest.mark.long
def test_a_report_on_the_wrong_boat_is_put_on_the_right_one(at_the_week, link):
    page = at_the_week
    crew_writes(link, "Fender weg", odd=(Odd.WRONG_BOAT,))
    expect(entry(page, "Fender weg")).to_contain_text("The phone named a boat", timeout=SOON)
    entry(page, "Fender weg").get_by_role("link", name="Another boat?").click()
    other = page.get_by_label("Boat").locator("option").nth(1)
    name = other.inner_text()
    page.get_by_label("Boat").select_option(name)
    page.get_by_role("button", name="Put it on her").click()
    expect(page.locator("main")).to_contain_text(f"It stands on {name} now.")
    expect(page.locator("main")).to_contain_text(f"Moved here from {link.charter.boat.name}")
    page.get_by_role("button", name="Move it back").click()
    expect(page.locator("main")).to_contain_text(f"It stands on {link.charter.boat.name} again.")


@pytest.mark.long
def test_no_script_is_needed_to_see_and_to_undo(base, live_server, browser, link):
    """The same list, the same touches, each by a page of its own."""
    crew_writes(link, "Horn silent")
    engineer = next(each for each in SIGN_INS if each.role == "engineer")
    with override_settings(ALLOWED_HOSTS=["localhost", "127.0.0.1"]):
        context = browser.new_context(java_script_enabled=False)
        page = context.new_page()
        page.goto(live_server.url)
        page.get_by_label("Name to sign in with").fill(engineer.login)
        page.get_by_label("Password").fill(engineer.password)
        page.get_by_role("button", name="Sign in").click()
        entry(page, "Horn silent").get_by_role("button", name="Seen").click()
        expect(page.locator("#crews-did")).to_contain_text("Seen")
        page.locator("#crews-did").get_by_role("button", name="Undo").click()
        expect(entry(page, "Horn silent")).to_be_visible()
        context.close()


@pytest.mark.long
def test_signed_out_elsewhere_the_page_says_that_it_hears_nothing(at_the_week, link):
    page = at_the_week
    expect(page.locator("#crews-off")).to_be_hidden()
    page.context.clear_cookies()
    expect(page.locator("#crews-off")).to_be_visible(timeout=2 * SOON)
    expect(page.locator("#crews-heading")).to_be_visible()
    assert page.locator("#crews-list").get_by_label("Password").count() == 0, "no sign-in page in the list"
