"""Which language a skipper's page speaks: the one tapped, else the phone's, else English; what is kept is
the same in all."""

from decimal import Decimal

import pytest
from django.apps import apps
from django.db import transaction
from django.test import Client
from django.urls import reverse

from fleet.charters.links import make_link
from maintenance.defects.models import Defect
from maintenance.pages.phone.language import COOKIE, KEPT, NAMES
from maintenance.turnaround.models import Return
from tests.cast import NOW
from tests.doors.crew_scenes import Crew
from tests.doors.sheets import said, tap

HASHED = ("secret_hash", "sha256")


@pytest.fixture
def front(cast, today_is) -> str:
    return reverse("skipper", args=[make_link(cast.charter["S2"], at=NOW)[1]])


@pytest.mark.parametrize(
    ("asked", "spoken"),
    [
        ("", "en"),
        ("de", "de"),
        ("de-CH", "de"),
        ("de-CH-1996,de;q=0.9", "de"),
        ("zh", "en"),
        ("zh-Hant-TW,zh;q=0.9,el;q=0.1", "el"),
        ("zh;q=1,pl;q=0.5,de;q=0.8", "de"),
        ("EL", "el"),
        ("en-US,en;q=0.9,de;q=0.8", "en"),
        ("de;q=0", "en"),
        ("*", "en"),
        ("*;q=0.5, hr", "hr"),
        ("de;q=nonsense", "en"),
        (";;;,,,q=,=", "en"),
        ("δ, \x7f, <script>", "en"),
        ("../../etc/passwd", "en"),
        ("de" + "-a" * 5_000, "en"),
        ("x" * 20_000, "en"),
        (",".join(["zz-ZZ"] * 4_000) + ",de", "en"),
        ("hr-BA", "hr"),
    ],
    ids=lambda text: text[:20],
)
def test_a_phone_is_answered_in_its_language_whatever_it_asks_for(front, asked, spoken):
    """The grammar is RFC 9110, 12.5.4; a header of more than 500 letters is read as far as it goes."""
    page = Client().get(front, headers={"accept-language": asked})
    assert page.status_code == 200
    assert page["Content-Language"] == spoken
    assert f'<html lang="{spoken}">' in page.content.decode()


@pytest.mark.parametrize("code", NAMES)
def test_a_language_tapped_is_spoken_from_then_on_and_kept_a_year(front, code):
    phone = Client(headers={"accept-language": "it"})
    answer = phone.get(front, {"speak": code})
    assert (answer.status_code, answer["Location"]) == (302, front)
    kept = answer.cookies[COOKIE]
    assert (kept.value, kept["path"], kept["samesite"]) == (code, "/s/", "Lax")
    assert kept["max-age"] == KEPT.total_seconds() == 365 * 24 * 3600
    assert kept["httponly"]
    assert phone.get(front)["Content-Language"] == code
    assert phone.get(f"{front}sent/")["Content-Language"] == code
    assert phone.get("/s/")["Content-Language"] == code


def test_what_else_an_address_asks_stays_when_a_language_is_tapped(front):
    answer = Client().get(f"{front}return/?about=7&speak=de")
    assert answer["Location"] == f"{front}return/?about=7"
    capital = Client().get(front.replace("/s/", "/S/") + "?speak=de")
    assert capital["Location"] == front
    assert capital.cookies[COOKIE]["path"] == "/s/"


@pytest.mark.parametrize(
    "code", ["zh", "", "en-gb", "DE", "../x", "d" * 9_000, "de\r\nSet-Cookie: x=y"], ids=len
)
def test_a_language_that_is_not_here_changes_nothing(front, code):
    phone = Client(headers={"accept-language": "hr"})
    answer = phone.get(front, {"speak": code})
    assert (answer["Location"], COOKIE in answer.cookies) == (front, False)
    phone.cookies[COOKIE] = code if code.isprintable() else "zh"
    assert phone.get(front)["Content-Language"] == "hr"


def test_a_closed_way_in_speaks_the_phones_language_too(cast, today_is):
    page = Client(headers={"accept-language": "de"}).get("/s/tryitaboardnothingissecretsm/")
    assert page.status_code == 404
    assert "Dieser Zugang ist hier nicht bekannt" in said(page)


# What is kept


def kept() -> dict[str, list[str]]:
    """Every row of ours, without keys, which a database counts on, and without what a link hides."""
    rows = {}
    for app in ("fleet", "maintenance"):
        for model in apps.get_app_config(app).get_models():
            fields = [f for f in model._meta.concrete_fields if not f.is_relation and not f.primary_key]
            names = [f.name for f in fields if f.name not in HASHED]
            rows[model.__name__] = sorted(map(str, model.objects.values_list(*names)))
    return rows


def sent_in(cast, language: str) -> dict[str, list[str]]:
    """What is kept of a report and a return sent in a language, and then taken out of the book."""
    with transaction.atomic():
        crew = Crew(cast, language)
        locker, spare = cast.place["sandpiper locker"], cast.spare["impeller kit"]
        used = {f"kit-{spare.pk}-{locker.pk}": "1,5", "used_words": "Ταινία"}
        words = {"words": "Στάζει η αντλία, μυρίζει καμένο", "where": "system:engine", "client_id": "a" * 32}
        report = crew.tap(**words, **used, works="sometimes", danger="no", reporter="Νίκος")
        answers = {"ask-touched_bottom": "yes", "ask-water_in_bilge": "no", "lost": "Φακός"}
        dial = {f"dial-{cast.meter['sandpiper main'].pk}": "1190,4"}
        given = {**answers, **dial, "defects": "Σκίστηκε το πανί", "client_id": "b" * 32}
        back = crew.tap("skipper-return", **given, reporter="Νίκος")
        assert (report.status_code, back.status_code) == (302, 302)
        found = kept()
        transaction.set_rollback(True)
    return found


def test_what_is_kept_is_the_same_in_greek_as_in_english_but_for_the_language(cast, today_is):
    english, greek = sent_in(cast, "en"), sent_in(cast, "el")
    report = next(row for row in greek["Defect"] if "Στάζει" in row)
    assert "Where: Engine" in report
    assert "Used: Ταινία" in report
    assert any("Touched the bottom or hit something, as said at the return" in row for row in greek["Defect"])
    assert english["Defect"] != greek["Defect"]
    greek["Defect"] = sorted(row.replace("'el'", "'en'") for row in greek["Defect"])
    assert greek == english


def test_the_engineer_reads_the_words_as_they_were_typed(cast, sign_in):
    Crew(cast, "el").tap(words="Στάζει η αντλία", where="system:engine")
    row = Defect.objects.get()
    assert (row.words, row.language) == ("Στάζει η αντλία\n\nWhere: Engine", "el")
    page = said(sign_in("engineer").get(reverse("defect", args=["harbour", row.pk])))
    assert "Στάζει η αντλία" in page
    assert "Where: Engine" in page


def test_what_was_probably_meant_is_tapped_where_the_decimal_sign_is_a_comma(cast, today_is):
    crew, meter = Crew(cast, "de"), cast.meter["sandpiper main"]
    asked = crew.tap("skipper-return", **{f"dial-{meter.pk}": "11904"})
    assert "1\u202f190,4 h" in asked.content.decode()
    assert f'value="{meter.pk}:1190.4' in asked.content.decode()
    assert tap(crew.phone, asked, "1 190,4 h").status_code == 302
    assert Return.objects.get().readings.get().reading.dial == Decimal("1190.4")
