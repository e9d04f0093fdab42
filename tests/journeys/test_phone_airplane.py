"""The whole of it: a report from a phone in airplane mode to the engineer's page, a base gone for two days
in the middle of a photo, and every page of the link for everybody, in two languages at twice the text."""

from datetime import UTC, datetime, timedelta

import pytest
import time_machine
from django.test import override_settings
from playwright.sync_api import expect

from fleet.charters.links import make_link
from fleet.charters.models import Charter
from maintenance.defects.models import Defect, DefectPaper
from tests.journeys.axe import found_on
from tests.journeys.conftest import WIDTHS
from tests.journeys.filling_in import (
    choose,
    nothing_waits,
    on_phone,
    open_form,
    ready,
    report,
    send,
    shown_photos,
    until,
    was_tried,
)
from tests.journeys.saturday import Somebody
from tests.papers import encoded, noted, painted, speckled

pytestmark = pytest.mark.django_db(transaction=True)
PAGES = ("", "return/", "sent/", "told/")
WORDS = "Το ψυγείο δεν κρυώνει, 冷蔵庫, seit gestern"
SIDEWAYS = 6  # Exif 3.0, 4.6.5.1.6: the camera was held upright, the rows lie on their side
KEPT_PAGES = """async () => {
    const names = (await caches.keys()).filter((name) => name.startsWith('fettle link'));
    const many = async (name) => (await (await caches.open(name)).keys()).length;
    const kept = await Promise.all(names.map(many));
    return kept.some((pages) => pages >= 4);
}"""
UPRIGHT = "async (img) => { await img.decode(); return img.naturalHeight > img.naturalWidth }"
# What is cut off at its right edge, or covered because its box is too low for its words.
CLIPPED = """() => [...document.querySelectorAll('main *, header *')].filter((one) => {
    const style = getComputedStyle(one);
    if (style.display === 'inline' || style.overflow === 'visible' || !one.clientWidth) return false;
    if (['TEXTAREA', 'INPUT', 'SELECT'].includes(one.tagName)) return false;
    return one.scrollWidth > one.clientWidth + 1 || one.scrollHeight > one.clientHeight + 1;
}).map((one) => one.outerHTML.slice(0, 120))"""


@pytest.fixture
def way_in(base, live_server):
    """The address of a link of a charter that is out now."""
    now = datetime.now(UTC)
    out = Charter.objects.booked().filter(starts_on__lt=base.day_of(now), ends_on__gte=base.day_of(now))
    secret = make_link(out.order_by("pk").first(), at=now - timedelta(days=1))[1]
    with override_settings(ALLOWED_HOSTS=["localhost", "127.0.0.1"]):
        yield f"{live_server.url}/s/{secret}/"


def a_phone(browser, locale: str = "en-GB", **more):
    size = {"width": WIDTHS["phone"], "height": 844}
    return browser.new_context(viewport=size, has_touch=True, locale=locale, **more)


def photo(name: str) -> dict:
    data = encoded(painted(1200, 900), exif=noted(orientation=SIDEWAYS), quality=90)
    return {"name": name, "mimeType": "image/jpeg", "buffer": data}


def other_photo(name: str) -> dict:
    data = encoded(speckled(1000, 700), exif=noted(orientation=SIDEWAYS), quality=60)
    return {"name": name, "mimeType": "image/jpeg", "buffer": data}


def test_a_defect_with_two_photos_from_airplane_mode_stands_once_on_the_engineers_page(
    browser, live_server, way_in
):
    crew = a_phone(browser)
    first = open_form(crew, way_in)
    until(first, KEPT_PAGES)
    first.close()
    crew.set_offline(True)
    page = open_form(crew, way_in)
    report(page, WORDS)
    choose(page, photo("one.jpg"), other_photo("two.jpg"))
    shown_photos(page, 2)
    send(page)
    expect(page.locator("main")).to_contain_text("Kept on this phone", timeout=15_000)
    page.close()
    assert not Defect.objects.filter(words__startswith=WORDS).exists()
    again = crew.new_page()
    again.goto(way_in + "sent/")
    expect(again.locator("main")).to_contain_text(WORDS)
    crew.set_offline(False)
    nothing_waits(again)
    expect(again.locator("main")).to_contain_text("Sent; not seen yet", timeout=20_000)
    crew.close()
    engineer = Somebody(browser, live_server.url, "engineer")
    engineer.open("defects")
    expect(engineer.page.locator("ul.defects li").filter(has_text=WORDS)).to_have_count(1)
    row = Defect.objects.get(words__startswith=WORDS)
    assert DefectPaper.objects.filter(defect=row).count() == 2
    engineer.open("defect", defect=row.pk)
    shown = engineer.page.locator("main img")
    assert shown.count() >= 2
    assert all(one.evaluate(UPRIGHT) for one in shown.all())


def test_a_base_that_is_gone_for_two_days_in_the_middle_of_a_photo_gets_the_rest_of_it(browser, way_in):
    """The base's clock and the phone's go on by two days; the phone begins where the base left off."""
    crew = a_phone(browser, service_workers="block")
    page = open_form(crew, way_in)
    report(page, "Sail torn at the second reef")
    choose(page, other_photo("sail.jpg"))
    shown_photos(page, 1)
    pieces = []

    def gone(route):
        pieces.append(route.request.headers["upload-offset"])
        route.continue_() if len(pieces) == 1 else route.abort()

    page.route(
        "**/photos/*/", lambda route: gone(route) if route.request.method == "PATCH" else route.continue_()
    )
    send(page)
    page.wait_for_url("**/sent/")
    was_tried(page, 1)
    row = Defect.objects.get(words__startswith="Sail torn")
    assert not row.papers.exists()
    [entry] = on_phone(page)["entries"]
    assert entry["stand"] == "kept"
    page.close()
    with time_machine.travel(datetime.now(UTC) + timedelta(days=2), tick=True):
        back = crew.new_page()
        back.goto(way_in + "sent/")
        nothing_waits(back)
    assert row.papers.count() == 1
    assert Defect.objects.filter(words__startswith="Sail torn").count() == 1
    crew.close()


@pytest.mark.parametrize(("locale", "lang"), [("de-DE", "de"), ("el-GR", "el")])
def test_every_page_of_the_link_is_clear_to_everybody_also_at_twice_the_text(browser, way_in, locale, lang):
    """WCAG 2.2 AA as far as a program can tell (axe-core); 1.4.4 Resize Text, 1.4.10 Reflow by width."""
    crew = a_phone(browser, locale)
    page = crew.new_page()
    faults = []
    for path in PAGES:
        page.goto(way_in + path)
        if path in ("", "return/"):
            ready(page)
        assert page.locator("html").get_attribute("lang") == lang
        faults += found_on(page)
        page.evaluate("document.documentElement.style.fontSize = '200%'")
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), path
        assert page.evaluate(CLIPPED) == [], path
        faults += found_on(page)
    crew.close()
    assert faults == []
