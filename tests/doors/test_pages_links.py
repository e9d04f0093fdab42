"""The base's side of a skipper's link: made, shown once, closed; what came by it, and the answer."""

import re
from datetime import timedelta
from html.parser import HTMLParser

import pytest
import segno
from django.test import Client
from django.urls import reverse

from fleet.charters.links import State, by_secret, make_link
from fleet.charters.models import Link
from maintenance.defects.actions import end_defect, report_defect
from maintenance.defects.models import Defect, DefectStep
from maintenance.pages.links import qr_code
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.by_link import Told, report_by_link, return_by_link
from tests.cast import NOW, TODAY
from tests.doors.sheets import MAIN, said, sheets, tap
from tests.papers import encoded, painted


@pytest.fixture
def office(sign_in):
    return sign_in("office")


@pytest.fixture
def of(cast):
    return lambda charter: reverse("charter", args=["harbour", cast.charter[charter].pk])


@pytest.fixture
def link(cast, today_is):
    return make_link(cast.charter["S2"], at=NOW)[0]


def address_on(page) -> str:
    return re.search(r"http://testserver/s/\w{28}/", page.content.decode())[0]


def test_a_link_made_in_the_office_opens_the_charter_and_is_shown_this_once(cast, office, of):
    page = tap(office, office.get(of("S2")), "Make a link")
    assert page.status_code == 200
    address = address_on(page)
    secret = address.split("/s/")[1].strip("/")
    assert by_secret(secret, at=NOW).link == Link.objects.get()
    assert Link.objects.get().made_by == cast.person["office"]
    assert page["Cache-Control"] == "no-store"
    assert "What is wrong on Sandpiper?" in said(Client().get(address))
    listed = said(office.get(of("S2")))
    assert "Made 28 May 2026, 16:00 by Office" in listed
    assert "ends 1 Jun 2026, 09:00" in listed
    assert secret not in listed


def test_the_card_carries_the_address_as_text_and_as_a_code_without_style_or_script(office, of):
    page = tap(office, office.get(of("S2")), "Make a link")
    html, address = page.content.decode(), address_on(page)
    card = html.split('<article class="card">')[1].split("</article>")[0]
    assert address in card
    assert qr_code(address) in card
    for unwanted in ("<script", "style=", "<style", "onload"):
        assert unwanted not in card
    assert all(script.startswith(' src="/static/') for script in html.split("<script")[1:])
    assert "VHF channel 16" in card
    message = re.search(r'<textarea id="message"[^>]*>(.*?)</textarea>', html, re.DOTALL)[1]
    assert address in message


def test_the_code_holds_the_address():
    """Its dark cells are those of the symbol segno makes of the address (ISO/IEC 18004)."""
    address = "https://fettle.example/s/" + "a" * 28 + "/"

    class Path(HTMLParser):
        drawn = ""

        def handle_starttag(self, tag, attrs):
            if tag == "path":
                Path.drawn = dict(attrs)["d"]

    Path().feed(qr_code(address))
    cells, x, y = set(), 0, 0
    for move, numbers in re.findall(r"([Mmh])([^Mmh]*)", Path.drawn):
        step = [float(n) for n in re.findall(r"-?[\d.]+", numbers)]
        if move == "h":
            cells |= {(int(x) + n, int(y)) for n in range(int(step[0]))}
            x += step[0]
        else:
            x, y = (step[0], step[1]) if move == "M" else (x + step[0], y + step[1])
    matrix = segno.make(address, error="m", micro=False).matrix
    wanted = {(c + 2, r + 2) for r, row in enumerate(matrix) for c, dark in enumerate(row) if dark}
    assert cells == wanted


def test_an_address_that_opens_on_this_computer_only_is_said_to_be_one(cast, office, of, settings):
    settings.ALLOWED_HOSTS = ["*"]
    where = reverse("new-link", args=["harbour", cast.charter["S2"].pk])
    for host, here_only in (("127.0.0.1:8000", True), ("localhost", True), ("boats.example", False)):
        page = office.post(where, headers={"host": host})
        assert ("works on this computer only" in said(page)) is here_only
        assert f"http://{host}/s/" in page.content.decode()


def test_several_links_are_in_force_and_one_is_closed_without_the_other(cast, office, of):
    first, second = (make_link(cast.charter["S2"], at=NOW)[1] for _ in range(2))
    page = office.get(of("S2"))
    closing = [s for s in sheets(page) if any("Close it" in b[2] for b in s.buttons)]
    assert len(closing) == 2
    office.post(closing[0].action)  # the latest stands first
    assert by_secret(second, at=NOW).state is State.REVOKED
    assert by_secret(first, at=NOW).state is State.GOOD
    listed = said(office.get(of("S2")))
    assert "closed 28 May 2026, 16:00 by Office" in listed
    assert Link.objects.exclude(revoked_at=None).get().revoked_by == cast.person["office"]


def test_a_charter_that_is_long_over_gets_no_link_and_says_why(cast, office, of):
    assert "Make a link" not in said(office.get(of("S0")))
    page = office.post(reverse("new-link", args=["harbour", cast.charter["S0"].pk]), follow=True)
    assert "S0 came back on Sat 9 May 2026" in said(page)
    assert not Link.objects.exists()


def test_extending_the_charter_on_its_page_moves_the_links_end(cast, office, of):
    link = make_link(cast.charter["S4"], at=NOW)[0]
    before = link.ends_at
    tap(office, office.get(of("S4")), "Change the end", **{"extend-ends_on": "2026-06-14"})
    link.refresh_from_db()
    assert link.ends_at == before + timedelta(days=1)


# What came by it


def report(link, cast, **more) -> Defect:
    return report_by_link(
        link, cast.boat["sandpiper"], Told(words="No water from the exhaust", **more), at=NOW
    )


def test_the_week_leads_with_danger_and_says_what_stands_beside_the_words(cast, engineer, link):
    report_defect(
        cast.boat["sandpiper"], words="Touched the bottom or hit something", at=NOW, asked="question"
    )
    report(
        link,
        cast,
        works="no",
        risk_now=True,
        component=cast.part["sandpiper impeller"],
        photos=[encoded(painted()), encoded(painted(64, 96))],
    )
    text = said(engineer.get(reverse("week", args=["harbour"])))
    assert "Reported 28 May, danger now, does not work: No water from the exhaust" in text
    assert "Impeller; two photos" in text
    assert text.index("No water from the exhaust") < text.index("Touched the bottom")


def test_the_defects_page_shows_all_that_was_said_with_the_photos_one_tap_away(cast, engineer, link):
    place = cast.place["sandpiper locker"]
    defect = report(link, cast, works="sometimes", risk_now=False, place=place, photos=[encoded(painted())])
    page = engineer.get(reverse("defect", args=["harbour", defect.pk]))
    assert f"Works at times ; {place}" in said(page)
    assert f"by {cast.charter['S2'].skipper}, charter S2" in said(page)
    where = reverse("paper", args=["harbour", defect.papers.get().paper.sha256])
    assert f'href="{where}"' in page.content.decode()
    assert engineer.get(where).status_code == 200


def test_a_long_report_stands_whole_under_a_short_heading(cast, engineer, today_is):
    words = "Windlass stops. " * 60
    defect = report_defect(cast.boat["sandpiper"], words=words, at=NOW)
    html = engineer.get(reverse("defect", args=["harbour", defect.pk])).content.decode()
    heading = re.search(r"<h1>(.*?)</h1>", html, re.DOTALL)[1]
    assert len(heading) < 150
    assert words in html


@pytest.mark.parametrize("role", ["engineer", "manager", "office"])
def test_the_base_answers_and_the_skipper_reads_it_while_the_defect_stays_open(cast, sign_in, link, role):
    defect = report(link, cast)
    base = sign_in(role)
    where = reverse("defect", args=["harbour", defect.pk])
    assert "the skipper reads it on the page of the link" in said(base.get(where))
    form = base.get(where)
    page = tap(base, form, "Answer; it stays open", words="Close the seacock, we come at two")
    assert "Close the seacock, we come at two" in said(base.get(page["Location"]))
    step = DefectStep.objects.get()
    assert (step.by, step.recorded_by) == (cast.person[role].name, cast.person[role])
    assert list(Defect.objects.open()) == [defect]
    tap(base, form, "Answer; it stays open", words="Close the seacock, we come at two")
    assert DefectStep.objects.count() == 1


def test_an_answer_needs_words_and_not_too_many(cast, engineer, link):
    where = reverse("defect", args=["harbour", report(link, cast).pk])
    for words, wanted in (("  ", "a few words"), ("x" * 501, "up to 500 letters")):
        page = tap(engineer, engineer.get(where), "Answer; it stays open", words=words)
        assert page.status_code == 422
        assert f"Answer: wanted {wanted}" in said(page)
        assert words.strip() in page.content.decode()
    assert not DefectStep.objects.exists()


def test_who_reads_an_answer_is_said_before_it_is_written(cast, engineer, link):
    boat = cast.boat["sandpiper"]
    spoken = report_defect(boat, words="Leaks", at=NOW)
    filed = file_return(boat, None, Report(filed_by="base", day=TODAY, defects=["Drips"]), at=NOW)
    by_link = return_by_link(link, boat, Report(filed_by="skipper", day=TODAY, defects=["Hums"]), at=NOW)
    for defect, reads in (
        (spoken, False),
        (filed.defects.get().defect, False),
        (by_link.defects.get().defect, True),
    ):
        text = said(engineer.get(reverse("defect", args=["harbour", defect.pk])))
        assert ("the skipper reads it" in text, "nobody reads the answer there" in text) == (reads, not reads)


def test_an_ended_defect_still_shows_its_answers_and_can_be_opened_again(cast, engineer, link):
    defect = report(link, cast)
    end_defect(defect, step="put right", who="A. Fitter", why="New impeller", at=NOW)
    where = reverse("defect", args=["harbour", defect.pk])
    page = engineer.get(where)
    assert "Put right, 28 May 2026, 16:00, A. Fitter New impeller" in said(page)
    tap(engineer, page, "Answer", words="A new impeller is in")
    assert "A new impeller is in" in said(engineer.get(where))
    tap(engineer, engineer.get(where), "open again")
    assert list(Defect.objects.open()) == [defect]


def test_the_office_answers_and_is_not_offered_to_put_it_right(cast, office, link):
    defect = report(link, cast)
    page = office.get(reverse("defect", args=["harbour", defect.pk]))
    assert MAIN not in str([b for s in sheets(page) for b in s.buttons])
    week = office.get(reverse("week", args=["harbour"])).content.decode()
    assert reverse("defect", args=["harbour", defect.pk]) in week
