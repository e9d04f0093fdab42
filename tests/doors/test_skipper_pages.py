"""The skipper's pages: without account and script, of one charter, and plain where nothing opens."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from fleet.charters.links import make_link, revoke_link
from fleet.charters.models import Link
from fleet.ledger import correction, take_back
from fleet.papers.models import Paper
from fleet.secret import new_secret
from maintenance.defects.actions import answer_report, end_defect, report_defect
from maintenance.defects.models import Defect
from maintenance.planning.actions import cancel_charter, change_boat
from maintenance.turnaround.by_link import Told, report_by_link
from maintenance.turnaround.let_in import MOST_AN_HOUR
from maintenance.turnaround.models import LinkDefect, LinkReturn, Return
from tests.cast import NOW, TODAY, due_list_holds
from tests.doors.sheets import MAIN, said, sheet_with, tap
from tests.factories import BaseFactory, ComponentFactory, FittingFactory
from tests.papers import encoded, painted

PHONE = "+30 210 555 0101"
HOUR = timedelta(hours=1)
LINES_OF_A_TABLE = 40


@pytest.fixture
def secret(cast, today_is) -> str:
    type(cast.base).objects.filter(pk=cast.base.pk).update(phone=PHONE)
    return make_link(cast.charter["S2"], at=NOW)[1]


@pytest.fixture
def phone() -> Client:
    """A telephone: no account, and forms checked as in earnest."""
    return Client()


@pytest.fixture
def front(secret, phone):
    return lambda of=None, **more: phone.get(reverse("skipper", args=[of or secret]), more)


@pytest.fixture
def give_back(secret, phone):
    return lambda of=None, **more: phone.get(reverse("skipper-return", args=[of or secret]), more)


def sent_page(phone, secret) -> str:
    return said(phone.get(reverse("skipper-sent", args=[secret])))


def photo(name: str = "one.jpg", data: bytes | None = None) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data or encoded(painted()), "image/jpeg")


def nothing_kept() -> bool:
    return not (Defect.objects.exists() or Return.objects.exists() or Paper.objects.exists())


def pages(secret: str) -> list[str]:
    return [reverse(name, args=[secret]) for name in ("skipper", "skipper-return", "skipper-sent")]


# What a link opens


def test_danger_comes_first_with_a_telephone_that_dials(front):
    page = front()
    text, html = said(page), page.content.decode()
    asks = text.rindex("What is wrong on Sandpiper?")  # first it is the title
    assert text.index("VHF channel 16") < text.index("shut off at the bottle") < asks
    assert text.index("Ring the base") < asks
    assert 'href="tel:+302105550101"' in html
    assert PHONE in text


@pytest.mark.parametrize(
    ("number", "dials"), [("", False), ("day 12 34 / night 56 78", False), ("123456", True)]
)
def test_a_number_that_is_no_plain_one_is_said_and_not_dialled(cast, front, secret, number, dials):
    type(cast.base).objects.filter(pk=cast.base.pk).update(phone=number)
    page = front()
    assert ("tel:" in page.content.decode()) is dials
    assert (number or "its number is on your papers") in said(page)


def test_the_pages_need_no_account_no_script_and_tell_no_other_site(phone, secret):
    for address in pages(secret):
        answer = phone.get(address)
        html = answer.content.decode()
        assert answer.status_code == 200
        for script in html.split("<script")[1:]:  # ours, or words for ours; the pages do without too
            assert script.startswith(
                (' src="/static/', ' src="/s/', ' id="phone-words" type="application/json"')
            )
        assert "sessionid" not in answer.cookies
        assert 'href="http' not in html
        assert 'src="http' not in html
        assert answer["Cache-Control"] == "no-store"
        assert answer["X-Robots-Tag"] == "noindex"
        assert answer["Referrer-Policy"] == "same-origin"
        title = html.split("<title>")[1].split("</title>")[0]
        assert secret not in title
        assert not any(f"{way}=" in html for way in ("onclick", "onload", "style"))


def test_a_form_forged_by_another_site_is_refused(secret):
    strict = Client(enforce_csrf_checks=True)
    for address in pages(secret)[:2]:
        assert strict.post(address, {"words": "Leaks", "lost": "Torch"}).status_code == 403
    page = strict.get(pages(secret)[0])
    assert tap(strict, page, MAIN, words="Leaks").status_code == 302
    assert Defect.objects.get().words == "Leaks"


def test_a_report_is_sent_with_places_photos_and_a_spare_of_the_boats_own_kit(cast, phone, front):
    locker, spare = cast.place["sandpiper locker"], cast.spare["impeller kit"]
    typed = {
        "where": f"place:{locker.pk}",
        "words": "המשאבה דולפת\nwater in the bowl",
        "works": "sometimes",
        "danger": "no",
        "photos": [photo(), photo("two.jpg", encoded(painted(64, 96)))],
        f"kit-{spare.pk}-{locker.pk}": "1",
        "reporter": "Mate",
    }
    page = tap(phone, front(), MAIN, **typed)
    defect = Defect.objects.get()
    assert (defect.words, defect.place, defect.works) == (typed["words"], locker, "sometimes")
    assert (defect.risk_now, defect.reporter, defect.charter) == (False, "Mate", cast.charter["S2"])
    assert defect.papers.count() == 2
    assert defect.came_by.moves.get().move.from_place == locker
    text = said(phone.get(page["Location"]))
    assert "Sent to Harbour" in text
    assert "Sent; not seen yet." in text
    assert "Sandpiper Locker" in text or str(locker) in text
    assert "used 1 impeller kit" in text


def test_a_system_and_something_else_used_stand_below_the_words(phone, front):
    tap(phone, front(), MAIN, where="system:engine", words="No water", used_words="my own tape")
    assert Defect.objects.get().words == "No water\n\nWhere: Engine\n\nUsed: my own tape"


def test_several_of_one_kind_are_told_apart_and_so_are_two_engines(cast, secret, phone, front):
    for side in ("port", "starboard"):
        part = ComponentFactory(code=f"twice-shy-{side}-rig", kind=cast.interval["rig"].kind)
        cast.part[f"{side} rig"] = FittingFactory(
            component=part, boat=cast.boat["twice shy"], position=side
        ).component
    other = make_link(cast.charter["T2"], at=NOW)[1]
    text = said(front(other))
    for choice in ("Rigging, port", "Rigging, starboard", "Engine, port", "Engine, starboard", "Not sure"):
        assert choice in text
    tap(phone, front(other), MAIN, where=f"part:{cast.part['port rig'].pk}", words="Frayed")
    assert Defect.objects.get().component == cast.part["port rig"]
    assert "Rigging, port" in sent_page(phone, other)


def test_the_return_asks_little_and_the_due_list_follows(cast, phone, secret, give_back):
    dial = f"dial-{cast.meter['sandpiper main'].pk}"
    typed = {
        dial: "1225",
        "ask-water_in_bilge": "yes",
        "lost": "Torch\nWinch handle",
        "defects": "Hatch drips",
    }
    assert tap(phone, give_back(), MAIN, **typed).status_code == 302
    filed = Return.objects.get()
    assert (filed.filed_by, filed.day, filed.charter) == ("skipper", TODAY, cast.charter["S2"])
    assert filed.reporter == cast.charter["S2"].skipper
    assert (filed.defects.count(), filed.came_by.link) == (4, Link.objects.get())
    assert due_list_holds()
    text = sent_page(phone, secret)
    assert "Sandpiper given back" in text
    assert "1 225 h" in text
    assert "Hatch drips" in text


def test_a_dial_that_cannot_be_right_is_asked_about_once_and_never_refused(cast, phone, give_back):
    dial = f"dial-{cast.meter['sandpiper main'].pk}"
    asked = tap(phone, give_back(), MAIN, **{dial: "12124", "lost": "Torch"})
    assert asked.status_code == 422
    assert "cannot be right" in said(asked)
    assert sheet_with(asked, MAIN).values["lost"] == ["Torch"]
    assert nothing_kept()
    assert tap(phone, asked, "212.4 h", lost="Torch").status_code == 302
    assert Return.objects.get().readings.get().reading.dial == Decimal("1212.4")
    asked = tap(phone, give_back(), MAIN, **{dial: "99"})
    assert tap(phone, asked, "Keep as read").status_code == 302
    assert Return.objects.latest("pk").readings.get().reading.standing == "doubtful"
    assert due_list_holds()


def test_a_return_that_says_nothing_is_a_slip_of_the_thumb(phone, give_back):
    page = tap(phone, give_back(), MAIN, reporter="Mate")
    assert page.status_code == 422
    assert "Nothing was said" in said(page)
    assert nothing_kept()


def test_the_return_waits_until_the_charter_goes_out(cast, phone, front, give_back):
    early = make_link(cast.charter["S3"], at=NOW)[1]
    page = give_back(early)
    assert "your charter goes out on Sat 30 May" in said(page)
    answer = phone.post(
        reverse("skipper-return", args=[early]), {"boat": cast.boat["sandpiper"].pk, "lost": "x"}
    )
    assert answer.status_code == 422
    assert nothing_kept()
    assert tap(phone, front(early), MAIN, words="Leaks").status_code == 302


def test_a_return_of_the_base_stands_and_the_skippers_adds_to_it(cast, phone, engineer, give_back):
    boat = cast.boat["sandpiper"]
    engineer.post(
        reverse("return", args=["harbour", boat.pk]),
        {"filed_by": "base", "day": "2026-05-28", "defects": "Leaks"},
    )
    page = give_back()
    assert "The base took the boat back" in said(page)
    assert tap(phone, page, MAIN, lost="Torch").status_code == 302
    assert Return.objects.count() == 2


def test_what_cannot_wait_until_it_is_read_is_said_at_once(phone, secret, front, give_back):
    tap(phone, front(), MAIN, words="Reading light out", danger="no")
    assert "Nobody may be reading" not in sent_page(phone, secret)
    assert "shut off at the bottle" not in sent_page(phone, secret)
    tap(phone, front(), MAIN, words="Water over the floorboards", danger="yes")
    page = sent_page(phone, secret)
    assert "Nobody may be reading this right now: do what stands here, then ring the base." in page
    assert page.index("taste it, look where it") < page.index("What you sent, and what the base says", 60)
    assert "shut off at the bottle" in page
    tap(phone, give_back(), MAIN, **{"ask-gas_or_fumes_smelled": "yes"})
    assert "shut off at the bottle, everyone out, touch no switch" in sent_page(phone, secret)


def test_gas_chosen_as_where_brings_what_to_do_about_gas_until_it_is_put_right(cast, phone, secret, front):
    kind = cast.part["sandpiper gas-bottle"].kind
    kind.system = "gas"
    kind.save()
    tap(phone, front(), MAIN, words="Riecht komisch", where="system:gas")
    assert "shut off at the bottle" in sent_page(phone, secret)
    end_defect(Defect.objects.get(), step="no fault found", who="Tomé", at=NOW)
    assert "shut off at the bottle" not in sent_page(phone, secret)


def test_what_is_too_long_is_not_cut_by_the_browser_and_comes_back_whole(phone, front):
    page = tap(phone, front(), MAIN, words="x" * 25_000)
    words = page.content.decode().partition("<textarea")[2].partition(">")[0]
    assert 'name="words"' in words
    assert "maxlength" not in words
    assert sheet_with(page, MAIN).values["words"] == ["x" * 25_000]


def test_a_form_that_is_not_taken_opens_at_what_is_wrong(phone, front, give_back):
    for page in (front(), give_back()):
        assert sheet_with(page, MAIN).action == "#said"
        assert b'id="said"' in page.content


def test_an_address_all_in_capitals_opens_too(phone, secret):
    led = phone.get(f"/S/{secret.upper()}/")
    assert (led.status_code, led["Location"]) == (302, f"/s/{secret}/")
    assert phone.get(led["Location"]).status_code == 200


def test_a_return_shows_each_question_as_it_was_answered(phone, secret, give_back):
    tap(phone, give_back(), MAIN, **{"ask-touched_bottom": "no"})
    page = sent_page(phone, secret)
    assert "Did she touch the bottom, or hit anything? No." in page
    assert "Was there water in the bilge? Not answered." in page


# What was sent, and what the base says


def test_each_report_says_how_it_stands_and_what_the_base_noted_for_itself_is_not_said(cast, phone, secret):
    link, boat = Link.objects.get(), cast.boat["sandpiper"]
    first, second, third, fourth = (
        report_by_link(link, boat, Told(words=words), at=NOW) for words in ("One", "Two", "Three", "Four")
    )
    answer_report(first, words="Reset the breaker", who="Tomé", at=NOW)
    end_defect(second, step="put right", who="Tomé", why="crew broke it", at=NOW)
    end_defect(third, step="no fault found", who="Tomé", at=NOW)
    take_back(fourth, at=NOW)
    text = sent_page(phone, secret)
    for words in (
        "Answered. Reset the breaker Tomé",
        "Put right on Thu 28 May.",
        "Looked at on Thu 28 May: no fault found.",
        "The base took it off its list.",
    ):
        assert words in text
    assert "crew broke it" not in text


def test_an_answer_to_a_yes_of_the_return_is_seen(phone, secret, give_back):
    tap(phone, give_back(), MAIN, **{"ask-water_in_bilge": "yes"})
    answer_report(Return.objects.get().defects.get().defect, words="Taste it", who="Tomé", at=NOW)
    assert "Water in the bilge, as said at the return Answered. Taste it" in sent_page(phone, secret)


def test_a_dressed_up_address_leads_on_by_the_plain_one(phone, secret):
    html = phone.get(f"/s/{secret.upper()}./", follow=True).content.decode()
    assert f'href="/s/{secret}/sent/"' in html
    assert secret.upper() not in html


def test_an_answer_is_seen_also_where_the_report_was_corrected(cast, phone, secret):
    report = report_by_link(Link.objects.get(), cast.boat["sandpiper"], Told(words="One"), at=NOW)
    answer_report(correction(report, at=NOW, risk_now=True), words="On Saturday", who="Tomé", at=NOW)
    assert "Answered. On Saturday" in sent_page(phone, secret)


def test_nothing_of_another_charter_or_of_the_base_is_seen(cast, phone, secret, front):
    boat = cast.boat["sandpiper"]
    report_defect(boat, words="The base's own", at=NOW, charter=cast.charter["S2"])
    other, theirs = make_link(cast.charter["S3"], at=NOW)
    tap(phone, front(theirs), MAIN, words="Of another charter", photos=[photo()])
    far = make_link(cast.charter["F1"], at=NOW)[1]
    tap(phone, front(far), MAIN, words="Of another base")
    text = sent_page(phone, secret)
    assert "Nothing was sent yet." in text
    sha256 = Paper.objects.get().sha256
    assert phone.get(reverse("skipper-photo", args=[theirs, sha256])).status_code == 200
    for wrong in (sha256, "0" * 64, "x"):
        answer = phone.get(reverse("skipper-photo", args=[secret, wrong]))
        assert answer.status_code == 404
        assert answer["Cache-Control"] == "no-store"
    assert LinkDefect.objects.get(link=other).defect.words == "Of another charter"


def test_two_links_of_one_charter_read_the_same_letters(cast, phone, secret, front):
    tap(phone, front(), MAIN, words="Heads pump leaks")
    assert "Heads pump leaks" in sent_page(phone, make_link(cast.charter["S2"], at=NOW)[1])


def test_what_was_sent_is_read_in_a_fixed_number_of_queries(
    cast, phone, secret, django_assert_max_num_queries
):
    link, boat = Link.objects.get(), cast.boat["sandpiper"]
    for n in range(MOST_AN_HOUR):
        answer_report(report_by_link(link, boat, Told(words=f"{n}"), at=NOW), words="Yes", who="T", at=NOW)
    with django_assert_max_num_queries(LINES_OF_A_TABLE // 2):
        sent_page(phone, secret)


# What does not open


def refuse(phone, secret, status, *words):
    for address in pages(secret):
        page = phone.get(address)
        assert page.status_code == status, address
        assert all(word in said(page) for word in words), said(page)
        assert page["Cache-Control"] == "no-store"
        assert page["X-Robots-Tag"] == "noindex"


def test_a_cut_link_is_told_from_one_that_is_not_ours(cast, phone, secret):
    refuse(phone, secret[:-2], 404, "not complete")
    refuse(phone, "abc", 404, "not complete")
    refuse(phone, new_secret(), 404, "not known here")
    page = phone.get("/s/")
    assert (page.status_code, "not complete" in said(page)) == (404, True)


def test_an_unknown_link_names_the_telephone_where_there_is_but_one_base_to_ring(db, phone, today_is):
    BaseFactory(phone=PHONE)
    assert PHONE in said(phone.get(reverse("skipper", args=[new_secret()])))
    BaseFactory(phone="+1 555 0000")
    page = said(phone.get(reverse("skipper", args=[new_secret()])))
    assert PHONE not in page
    assert "its number is on your papers" in page


def test_revoked_ended_and_called_off_say_so_with_the_telephone(cast, phone, secret, today_is):
    revoke_link(Link.objects.get(), at=NOW)
    refuse(phone, secret, 410, "The base closed this way in", PHONE)
    off = make_link(cast.charter["S3"], at=NOW)[1]
    cancel_charter(cast.charter["S3"], at=NOW)
    refuse(phone, off, 410, "called off", PHONE)
    late = make_link(cast.charter["S2"], at=NOW)[1]
    today_is.move_to(NOW + 100 * HOUR)
    refuse(phone, late, 410, "It ended on 1 Jun 2026, 09:00", PHONE)


@pytest.mark.parametrize("how", ["revoked", "ended"])
def test_a_form_sent_after_the_link_closed_shows_what_was_typed_and_keeps_nothing(
    phone, front, give_back, how, today_is
):
    report, filed = front(), give_back()
    if how == "revoked":
        revoke_link(Link.objects.get(), at=NOW)
    else:
        today_is.move_to(NOW + 100 * HOUR)
    page = tap(phone, report, MAIN, words="Heads <pump> leaks", used_words="tape", photos=[photo()])
    assert page.status_code == 410
    for words in ("Nothing was kept.", "Heads <pump> leaks", "tape", PHONE):
        assert words in said(page)
    page = tap(phone, filed, MAIN, lost="Torch", defects="Hatch drips")
    assert (page.status_code, "Torch" in said(page), "Hatch drips" in said(page)) == (410, True, True)
    assert nothing_kept()


# Limits, doubles, boats changed


def test_the_thirteenth_in_an_hour_comes_back_with_what_was_typed_and_the_telephone(
    cast, phone, front, give_back, today_is
):
    for n in range(MOST_AN_HOUR):
        report_by_link(Link.objects.get(), cast.boat["sandpiper"], Told(words=f"{n}"), at=NOW)
    page = tap(phone, front(), MAIN, words="Gas smell")
    assert page.status_code == 429
    assert PHONE in said(page)
    assert "send it again in an hour" in said(page)
    assert sheet_with(page, MAIN).values["words"] == ["Gas smell"]
    filed = tap(phone, give_back(), MAIN, lost="Torch")
    assert (filed.status_code, sheet_with(filed, MAIN).values["lost"]) == (429, ["Torch"])
    assert (Defect.objects.count(), Return.objects.count()) == (MOST_AN_HOUR, 0)
    today_is.move_to(NOW + HOUR)
    assert tap(phone, page, MAIN).status_code == 302


def test_a_second_tap_is_kept_once_and_says_so(phone, front, give_back, secret, today_is):
    report, filed = front(), give_back()
    tap(phone, report, MAIN, words="Heads pump leaks")
    tap(phone, filed, MAIN, lost="Torch")
    sent_page(phone, secret)
    today_is.shift(timedelta(minutes=1))
    tap(phone, report, MAIN, words="Heads pump leaks, and more")
    assert "This was sent already, 28 May 2026, 16:00" in sent_page(phone, secret)
    tap(phone, filed, MAIN, lost="Torch")
    assert "This was sent already" in sent_page(phone, secret)
    assert (LinkDefect.objects.count(), LinkReturn.objects.count()) == (1, 1)


def test_an_id_of_somebody_elses_report_is_refused(cast, phone, front):
    report_defect(cast.boat["sandpiper"], words="The base's own", at=NOW, client_id="theirs")
    page = tap(phone, front(), MAIN, words="Leaks", client_id="theirs")
    assert page.status_code == 422
    assert not LinkDefect.objects.exists()


def test_a_form_opened_for_the_boat_before_is_asked_about_and_not_guessed(cast, phone, front, give_back):
    report, filed = front(), give_back()
    change_boat(cast.charter["S2"], cast.boat["twice shy"], from_on=TODAY, why="Rudder", at=NOW)
    asked = tap(phone, report, MAIN, words="Heads pump leaks", danger="yes")
    assert asked.status_code == 422
    assert "Which boat is it about?" in said(asked)
    assert nothing_kept()
    values = sheet_with(asked, MAIN).values
    assert (values["words"], values["danger"]) == (["Heads pump leaks"], ["yes"])
    tap(phone, asked, MAIN, about=cast.boat["twice shy"].pk)
    assert Defect.objects.get().boat == cast.boat["twice shy"]
    dial = f"dial-{cast.meter['sandpiper main'].pk}"
    asked = tap(phone, filed, MAIN, **{dial: "1212"})
    assert "Which boat is it about?" in said(asked)
    assert sheet_with(asked, MAIN).values[dial] == ["1212"]
    tap(phone, asked, MAIN, about=cast.boat["sandpiper"].pk)
    assert Return.objects.get().boat == cast.boat["sandpiper"]
    assert due_list_holds()


def test_what_was_chosen_of_the_boat_before_is_asked_again_for_the_other(cast, phone, front):
    report = front()
    change_boat(cast.charter["S2"], cast.boat["twice shy"], from_on=TODAY, why="Rudder", at=NOW)
    where = f"place:{cast.place['sandpiper locker'].pk}"
    asked = tap(phone, report, MAIN, words="Leaks", where=where)
    page = tap(phone, asked, MAIN, about=cast.boat["twice shy"].pk)
    assert page.status_code == 422
    assert "Where: wanted a place aboard Twice Shy" in said(page)
    assert tap(phone, page, MAIN, where="unsure").status_code == 302
    assert Defect.objects.get().boat == cast.boat["twice shy"]


def test_the_page_says_which_boat_the_charter_has_now_and_still_takes_a_word_about_the_other(
    cast, phone, front
):
    change_boat(cast.charter["S2"], cast.boat["twice shy"], from_on=TODAY, why="Rudder", at=NOW)
    page = front()
    assert "Your charter now has Twice Shy (instead of Sandpiper)." in said(page)
    assert "What is wrong on Twice Shy?" in said(page)
    before = front(about=cast.boat["sandpiper"].pk)
    assert "What is wrong on Sandpiper?" in said(before)
    assert tap(phone, before, MAIN, words="Leaks").status_code == 302
    assert Defect.objects.get().boat == cast.boat["sandpiper"]


def test_another_bases_boat_cannot_be_asked_for(cast, phone, front):
    far = cast.boat["far cry"].pk
    assert "Sandpiper" in said(front(about=far))
    for typed in ({"boat": far}, {"boat": ""}, {"boat": "x" * 50}, {"about": far}, {"about": "9" * 30}):
        assert tap(phone, front(), MAIN, words="Leaks", **typed).status_code == 422
    assert nothing_kept()


# Whatever is typed


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [
        ({"words": ""}, "What happens: wanted a few words"),
        ({"words": " \n\t "}, "What happens: wanted a few words"),
        ({"words": "x" * 19_001}, "What happens: wanted up to 19000 letters, found 19001"),
        ({"where": "place:1e9"}, "Where: wanted a place aboard Sandpiper"),
        ({"where": "system:nothing"}, "Where: wanted a place aboard Sandpiper"),
        ({"works": "perhaps"}, "Does it work now: wanted no, sometimes or yes"),
        ({"danger": "perhaps"}, "Danger now: wanted yes or no"),
        ({"reporter": "n" * 121}, "Your name: wanted up to 120 letters, found 121"),
        ({"used_words": "n" * 301}, "Something else used: wanted up to 300 letters"),
        ({"photos": [photo("a.zip", b"PK\x03\x04" + b"z" * 500)]}, "Photo 1 (a.zip): wanted"),
        ({"photos": [photo(f"{n}.jpg") for n in range(13)]}, "Photos: wanted at most 12 files, found 13"),
    ],
    ids=lambda case: None if isinstance(case, str) else next(iter(case)),
)
def test_a_wrong_report_names_the_field_and_keeps_nothing(phone, front, typed, wanted):
    page = tap(phone, front(), MAIN, **({"words": "Leaks"} | typed))
    assert page.status_code == 422
    assert wanted in said(page)
    assert nothing_kept()
    if "words" in typed and typed["words"].strip():
        assert sheet_with(page, MAIN).values["words"] == [typed["words"]]


@pytest.mark.parametrize("quantity", ["-1", "1e9", "9" * 40, "NaN", "lots", "10000000"])
def test_a_quantity_that_is_none_is_refused_by_name(cast, phone, front, give_back, quantity):
    name = f"kit-{cast.spare['impeller kit'].pk}-{cast.place['sandpiper locker'].pk}"
    for opened in (front, give_back):
        page = tap(phone, opened(), MAIN, **{name: quantity, "words": "Leaks", "lost": "Torch"})
        assert page.status_code == 422
        assert "How many impeller kit" in said(page)
    assert nothing_kept()


def test_another_boats_kit_and_the_bases_store_are_not_within_reach(cast, phone, front):
    for place in ("store", "far store", "twice shy locker"):
        name = f"kit-{cast.spare['oil'].pk}-{cast.place[place].pk}"
        assert name not in sheet_with(front(), MAIN).values
        tap(phone, front(), MAIN, words="Leaks", **{name: "1"})
        assert not cast.place[place].moves_out.exists()


@pytest.mark.parametrize(
    "text", ["a\0b", "Žut 🔦 <script>alert(1)</script> {{ 7*7 }}", "l1\r\nl2"], ids=["nul", "marks", "lines"]
)
def test_words_are_kept_as_written_but_for_what_no_keyboard_types(phone, front, secret, text):
    assert tap(phone, front(), MAIN, words=text, reporter=text[:100]).status_code == 302
    defect = Defect.objects.get()
    assert defect.words == text.replace("\0", "").replace("\r\n", "\n")
    page = phone.get(reverse("skipper-sent", args=[secret]))
    assert b"<script>alert" not in page.content
    assert " ".join(defect.words.split()) in said(page)


def test_a_return_of_thousands_of_lines_is_refused_by_name(phone, give_back):
    page = tap(phone, give_back(), MAIN, defects="x\n" * 41)
    assert page.status_code == 422
    assert "Anything else wrong: wanted at most 40 lines, found 41" in said(page)
    assert nothing_kept()


def test_only_reading_and_sending_is_done_here(phone, secret):
    for address in pages(secret):
        assert phone.put(address).status_code == 405
        assert phone.delete(address).status_code == 405
    assert phone.post(reverse("skipper-sent", args=[secret])).status_code == 405
    assert phone.head(reverse("skipper", args=[secret])).status_code == 200
