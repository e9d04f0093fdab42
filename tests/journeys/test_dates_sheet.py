"""The dates of the safety gear in a browser: what is not clear is asked, one boat prints on one sheet."""

import re
from datetime import timedelta

import pytest

from fleet.boats.actions import read_printed_date
from fleet.boats.models import Boat, Fitting, PrintedDate
from fleet.meters.models import Reading

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.long]
FORTY = 40


def carry_forty_dates(boat: Boat) -> None:
    """Long names, some of which take two lines each."""
    parts = [f.component for f in Fitting.objects.standing().filter(boat=boat, removed_on=None)]
    at = Reading.objects.latest("recorded_at").recorded_at
    for n in range(FORTY):
        what = f"pressure test of the {n}. bottle"
        part = parts[n % len(parts)]
        read_printed_date(part, what=what, as_written=f"0{n % 8 + 1}/{2027 + n % 9}", at=at)


@pytest.mark.parametrize("dates", [pytest.param("its own", marks=pytest.mark.long), "forty more"])
def test_one_boats_dates_print_on_exactly_one_sheet(at_the_week, dates):
    page, boat = at_the_week, Boat.objects.get(code="bowline")
    if dates != "its own":
        carry_forty_dates(boat)
    page.goto(f"{page.url.split('?')[0]}safety/boats/{boat.pk}/")
    assert page.locator("table.dates tbody tr").count() >= (FORTY if dates != "its own" else 10)
    assert len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True))) == 1
    page.emulate_media(media="print")
    assert page.get_by_text("Signature").is_visible()
    assert page.get_by_text("Printed ").is_visible()
    assert not page.get_by_role("button", name="Show").is_visible()


def test_a_month_alone_is_asked_about_with_a_button_for_its_last_day(at_the_week):
    page = at_the_week
    page.get_by_role("link", name="Safety").click()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    page.get_by_role("link", name="Record date: Gas hose, gas locker").first.click()
    later = Reading.objects.latest("recorded_at").recorded_at + timedelta(days=800)
    page.get_by_label("As written").fill(f"{later:%m/%Y}")
    page.get_by_role("button", name="Record", exact=True).click()
    page.get_by_role("button", name="Good through").click()
    told = page.locator("tr:target .notice")
    assert "good through" in told.inner_text()
    assert told.is_visible()
    assert PrintedDate.objects.standing().filter(as_written=f"{later:%m/%Y}").exists()
    page.get_by_role("button", name="Undo: Gas hose").click()
    assert "Undone." in page.locator(".notice").first.inner_text()
