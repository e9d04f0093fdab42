"""The cleaners' pages: two taps, nothing shown but boats' names, so many an hour, closed in plain words."""

from datetime import timedelta

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fleet.papers.models import Paper
from fleet.people.cleaners import MOST_OPEN, LinkRefused, close_cleaners_link, make_cleaners_link
from fleet.people.models import CleanersLink
from fleet.secret import new_secret
from maintenance.defects.models import Defect, DefectStep
from maintenance.pages.cleaner import SEEN
from maintenance.turnaround.let_in import MOST_AN_HOUR, MOST_WITH_DANGER
from tests.cast import NOW
from tests.doors.sheets import said, tap
from tests.papers import encoded, painted

ALARMING = {"Wet bilge", "Smell of gas or fuel", "Something burnt"}


@pytest.fixture
def secret(cast, today_is) -> str:
    return make_cleaners_link(cast.base, at=NOW, by=cast.person["manager"])[1]


@pytest.fixture
def phone() -> Client:
    return Client(enforce_csrf_checks=True)


@pytest.fixture
def boat_page(cast, phone, secret):
    def opened(boat: str = "sandpiper"):
        return phone.get(reverse("cleaner-seen", args=[secret, cast.boat[boat].pk]))

    return opened


def test_two_taps_tell_the_base_what_was_seen(cast, phone, secret, boat_page):
    front = phone.get(reverse("cleaner", args=[secret]))
    assert reverse("cleaner-seen", args=[secret, cast.boat["sandpiper"].pk]) in front.content.decode()
    page = phone.get(tap(phone, boat_page(), "Something broken")["Location"])
    row = Defect.objects.get()
    assert (row.boat, row.words, row.reporter) == (cast.boat["sandpiper"], "Something broken", "a cleaner")
    assert "Harbour has it" in said(page)
    assert "Is it happening now?" not in said(page)


def test_boats_in_port_stand_first_and_of_another_base_none(phone, secret):
    text = said(phone.get(reverse("cleaner", args=[secret])))
    port, away = text.split("Out, by the book")
    assert "Blank Page" in port
    assert "Sandpiper" in away
    assert "Far Cry" not in text


def test_words_photos_and_a_name_go_along(phone, boat_page):
    photo = SimpleUploadedFile("one.jpg", encoded(painted()), "image/jpeg")
    tap(phone, boat_page(), "Head not working", words="vorne", reporter="Ana", photos=[photo])
    row = Defect.objects.get()
    assert (row.words, row.reporter, row.papers.count()) == ("Head not working: vorne", "Ana", 1)


@pytest.mark.parametrize("tile", [name for name, _ in SEEN if name != "Something else"])
def test_the_tiles_that_tell_of_danger_raise_the_alarm_and_ask(phone, boat_page, tile):
    page = phone.get(tap(phone, boat_page(), tile)["Location"])
    asked = tile in ALARMING or tile == "Water leaks in"
    assert bool(Defect.objects.get().alarm) is asked
    asks = "Is the water rising?" if tile in ("Wet bilge", "Water leaks in") else "Is it happening now?"
    assert (asks in said(page)) is asked
    assert ("Ring the base" in said(page)) is asked


@pytest.mark.parametrize(
    ("answer", "step"), [("Yes, now", "happening now"), ("Not any more", "not any more")]
)
def test_the_question_is_asked_again_until_answered_and_answered_once(phone, boat_page, answer, step):
    sent = tap(phone, boat_page(), "Smell of gas")["Location"]
    page = phone.get(sent)
    assert "shut off at the bottle" in said(page)
    assert "Is it happening now?" in said(phone.get(sent))
    tap(phone, page, answer)
    tap(phone, page, "Yes, now")
    assert DefectStep.objects.get().step == step
    assert "Is it happening now?" not in said(phone.get(sent))


def test_of_a_wet_bilge_it_is_asked_whether_the_water_rises_and_nobody_has_to_know(phone, boat_page):
    sent = tap(phone, boat_page(), "Wet bilge")["Location"]
    page = phone.get(sent)
    text = said(page)
    assert text.rindex("has it. Thank you.") < text.index("Is the water rising?")
    assert "It never was" not in text
    unsure = phone.get(tap(phone, page, "know")["Location"])
    assert "Somebody of the base looks" in said(unsure)
    assert "Is the water rising?" not in said(unsure)
    assert "Ring the base" in said(unsure)
    assert not DefectStep.objects.exists()
    assert Defect.objects.not_looked_at().exists(), "the alarm stands until somebody looked"
    tap(phone, phone.get(sent), "Yes, it rises")
    assert DefectStep.objects.get().step == "happening now"
    assert "Ring the base" in said(phone.get(sent))


def test_what_is_written_stands_above_the_tiles_that_send_it(boat_page):
    page = boat_page().content.decode()
    assert page.index('name="words"') < page.index('value="Wet bilge"')
    assert page.index("ring-said") < page.index("<form")


def test_sent_twice_it_is_kept_once_and_gone_back_to_as_well(phone, boat_page):
    page = boat_page()
    first, again = tap(phone, page, "Wet bilge")["Location"], tap(phone, page, "Wet bilge")["Location"]
    assert first == again == tap(phone, boat_page(), "Wet bilge")["Location"]
    assert Defect.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"seen": "Something else"}, "In your words: wanted what it is, or a photo"),
        ({"seen": "Pirates", "words": "here"}, "What you saw: wanted one of the tiles"),
        ({"words": "here"}, "What you saw: wanted one of the tiles"),
        ({"seen": "Wet bilge", "words": "x" * 4001}, "In your words: wanted up to 4000 letters"),
        ({"seen": "Wet bilge", "reporter": "x" * 121}, "Your name: wanted up to 120 letters"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nothing_is_lost_or_kept(cast, secret, typed, wanted):
    where = reverse("cleaner-seen", args=[secret, cast.boat["sandpiper"].pk])
    page = Client().post(where, typed)
    assert page.status_code == 422
    assert wanted in said(page)
    assert typed.get("words", "") in page.content.decode()
    assert not Defect.objects.exists()


def test_a_page_forged_by_another_site_is_refused(cast, phone, secret):
    where = reverse("cleaner-seen", args=[secret, cast.boat["sandpiper"].pk])
    assert phone.post(where, {"seen": "Wet bilge"}).status_code == 403


def test_an_hour_takes_so_many_of_one_boat_and_danger_more(phone, boat_page):
    for number in range(MOST_AN_HOUR):
        assert tap(phone, boat_page(), "Something broken", words=f"number {number}").status_code == 302
    page = tap(phone, boat_page(), "Something broken", words="one more")
    assert page.status_code == 429
    assert "one more" in page.content.decode()
    assert tap(phone, boat_page("twice shy"), "Something broken").status_code == 302
    for number in range(MOST_WITH_DANGER - MOST_AN_HOUR):
        assert tap(phone, boat_page(), "Wet bilge", words=f"number {number}").status_code == 302
    assert tap(phone, boat_page(), "Wet bilge", words="one more").status_code == 429


def test_after_an_hour_it_takes_more(phone, boat_page, today_is):
    for number in range(MOST_AN_HOUR):
        tap(phone, boat_page(), "Something broken", words=f"number {number}")
    today_is.shift(timedelta(hours=1, seconds=1))
    assert tap(phone, boat_page(), "Something broken", words="later").status_code == 302


def test_another_bases_boat_and_another_links_report_are_not_reached(cast, phone, secret, boat_page):
    assert phone.get(reverse("cleaner-seen", args=[secret, cast.boat["far cry"].pk])).status_code == 404
    name = tap(phone, boat_page(), "Wet bilge")["Location"].rstrip("/").rsplit("/", 1)[1]
    other = make_cleaners_link(cast.base, at=NOW)[1]
    assert phone.get(reverse("cleaner-sent", args=[secret, name])).status_code == 200
    assert phone.get(reverse("cleaner-sent", args=[other, name])).status_code == 404
    assert phone.get(reverse("cleaner-sent", args=[secret, "0" * 40])).status_code == 404


def test_a_closed_link_says_so_and_gives_back_what_was_typed(cast, phone, secret, boat_page):
    page = boat_page()
    close_cleaners_link(CleanersLink.objects.get(), at=NOW)
    answer = tap(phone, page, "Wet bilge", words="under the engine")
    assert answer.status_code == 410
    text = said(answer)
    assert "The base closed this way in" in text
    assert "under the engine" in text
    assert not Defect.objects.exists()
    assert phone.get(reverse("cleaner", args=[secret])).status_code == 410


def test_an_address_cut_short_or_not_ours_opens_nothing(phone, secret):
    for text, words in ((secret[:-3], "not complete"), (new_secret(), "not known here")):
        answer = phone.get(reverse("cleaner", args=[text]))
        assert answer.status_code == 404
        assert words in said(answer)
    assert phone.get(reverse("cleaner-cut")).status_code == 404
    assert phone.get(reverse("cleaner", args=[secret]).replace("/c/", "/C/").upper()).status_code == 200


def test_the_pages_show_names_only_keep_out_of_caches_and_have_no_script(phone, secret, boat_page):
    tap(phone, boat_page(), "Wet bilge", words="Ana found it")
    for page in (phone.get(reverse("cleaner", args=[secret])), boat_page()):
        html = page.content.decode()
        assert "Ana found it" not in html
        assert "<script" not in html
        assert (page["Cache-Control"], page["X-Robots-Tag"]) == ("no-store", "noindex")


def test_a_manager_makes_a_link_sees_it_once_and_closes_it(cast, sign_in):
    manager = sign_in("manager")
    where = reverse("cleaners", args=["harbour"])
    made = tap(manager, manager.get(where), "Make a link")
    assert "<svg" in made.content.decode()
    link = CleanersLink.objects.get()
    secret = made.content.decode().split("/c/")[1].split("/")[0]
    assert Client().get(reverse("cleaner", args=[secret])).status_code == 200
    assert secret not in manager.get(where).content.decode()
    tap(manager, manager.get(where), "Close it")
    link.refresh_from_db()
    assert link.revoked_at == NOW
    assert Client().get(reverse("cleaner", args=[secret])).status_code == 410
    assert manager.post(where, {"what": "nothing"}).status_code == 422


def test_no_more_links_are_open_than_anybody_looks_after(cast, today_is):
    for _ in range(MOST_OPEN):
        make_cleaners_link(cast.base, at=NOW)
    with pytest.raises(LinkRefused):
        make_cleaners_link(cast.base, at=NOW)
    close_cleaners_link(CleanersLink.objects.first(), at=NOW)
    make_cleaners_link(cast.base, at=NOW)


def test_a_photo_that_is_none_is_said_and_nothing_is_kept(phone, boat_page):
    page = tap(
        phone, boat_page(), "Wet bilge", photos=[SimpleUploadedFile("a.jpg", b"no photo", "image/jpeg")]
    )
    assert page.status_code == 422
    assert "Photo 1" in said(page)
    assert not Defect.objects.exists()
    assert not Paper.objects.exists()
