"""Saturday morning: what is on the list, doing it, and the boat back with a mistyped meter."""

import re

import pytest
from playwright.sync_api import expect

from fleet.boats.models import Boat
from fleet.meters.models import Reading
from maintenance.jobs.models import Job
from maintenance.planning.facts import week_of
from maintenance.servicing.actions import differences
from maintenance.servicing.models import Service

pytestmark = pytest.mark.django_db(transaction=True)


def nothing_runs_off_the_side(page) -> bool:
    return page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_the_week_reads_from_doubt_to_the_last_boat(at_the_week, base):
    page, day = at_the_week, base.day_of(Reading.objects.latest("recorded_at").recorded_at)
    leaving = [visit.boat.name for out in week_of(base, day).days for visit in out.visits]
    shown = page.locator("section.day .boat h2").all_inner_texts()
    assert leaving
    assert shown[: len(leaving)] == leaving
    assert "cannot be right" in page.locator("article").first.inner_text()
    assert nothing_runs_off_the_side(page)
    small = page.locator("button:visible, a.button:visible").evaluate_all(
        "all => all.filter(b => b.getBoundingClientRect().height < 43.5).map(b => b.textContent)"
    )
    assert not small, "a thumb needs 44 px"


def test_a_job_is_done_in_two_taps_and_taken_back(at_the_week):
    page = at_the_week
    row = (
        page.locator("article.boat tr").filter(has=page.get_by_role("button", name="Done", exact=True)).first
    )
    task = row.locator(".task").inner_text()
    row.get_by_role("button", name="Done", exact=True).click()
    page.get_by_role("button", name="Record it").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Recorded on")
    expect(page.locator("main")).to_contain_text(task)
    job = Job.objects.latest("pk")
    assert Service.objects.standing().filter(job__job=job).count() == 1
    page.get_by_role("button", name="Undo all of it").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Undone on")
    assert Service.objects.standing().filter(job__job=job).count() == 0
    assert nothing_runs_off_the_side(page)


def test_several_are_ticked_off_as_one_act(at_the_week):
    page = at_the_week
    boat = page.locator("article.boat").filter(has=page.locator("table input[type=checkbox]").nth(1)).first
    ticks = boat.locator("table").first.locator("input[type=checkbox]")
    for n in range(2):
        ticks.nth(n).check()
    boat.get_by_role("button", name="Record the ticked ones together").click()
    page.get_by_role("button", name="Record it").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("Recorded on")
    assert Job.objects.latest("pk").services.count() == 2


def test_a_boat_comes_back_with_a_digit_missing_and_the_list_is_right(at_the_week, base):
    page = at_the_week
    page.get_by_role("link", name="Returns").click()
    page.get_by_role("link", name="Take back").first.click()
    meter = page.locator("input[name^=dial-]").first
    pk = int(meter.get_attribute("name").removeprefix("dial-"))
    said = page.locator(f"label[for=id_dial-{pk}] .help").inner_text()
    last = float(re.search(r"last ([\d.\s\u202f]+) h", said)[1].replace("\u202f", "").replace(" ", ""))
    right = f"{last + 1:.1f}"
    meter.fill(right[:1] + right[2:])
    page.get_by_label("What is wrong").fill("Nähmaschine klappert 🛠")
    page.get_by_role("button", name="File this return").click()
    expect(page.get_by_role("alert")).to_contain_text("cannot be right")
    assert nothing_runs_off_the_side(page)
    expect(page.get_by_label("What is wrong")).to_have_value("Nähmaschine klappert 🛠")
    assert not Reading.objects.filter(meter=pk, dial=right).exists()
    page.get_by_role("alert").get_by_role("button", name=re.compile("a digit missing")).first.click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("is back")
    kept = Reading.objects.standing().filter(meter=pk).latest("pk")
    assert kept.standing == Reading.Standing.USED
    day = base.day_of(kept.recorded_at)
    assert list(differences(on=day)) == []


def test_a_doubtful_reading_is_settled_by_one_tap(at_the_week):
    page = at_the_week
    doubt = page.locator("article.doubt").filter(has_text="cannot be right").first
    name = doubt.get_by_role("heading").inner_text()
    doubt.get_by_role("button", name=re.compile("^It was")).first.click()
    expect(page.locator(".notice[role=status]")).to_contain_text("settled at")
    assert name not in page.locator("main").inner_text()


def test_it_prints_as_one_sheet_for_the_wall(at_the_week, tmp_path):
    page = at_the_week
    if page.viewport_size["width"] < 1000:
        page.emulate_media(media="print")
        assert page.locator("nav").first.is_hidden()
        return
    pdf = page.pdf(path=tmp_path / "week.pdf", prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == 1


def test_every_boat_has_a_page(at_the_week, base):
    page = at_the_week
    page.get_by_role("link", name="Boats", exact=True).click()
    names = page.locator("main a.big").all_inner_texts()
    assert len(names) == Boat.objects.count()
    page.locator("main a.big").first.click()
    expect(page.get_by_role("heading", level=1)).to_have_text(names[0])
    assert nothing_runs_off_the_side(page)
