"""“Is it happening now?” on the skipper's page: what raises it, the worst first, what to do, who comes."""

import re
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from fleet.charters.links import make_link
from maintenance.defects.actions import look_at
from maintenance.defects.alarm import about
from maintenance.defects.models import Defect, DefectStep
from maintenance.jobs.call_out import Call, open_call_out, say_step
from tests.cast import NOW
from tests.doors.sheets import MAIN, said, tap

ASKS = "Is it happening now?"


@pytest.fixture
def secret(cast, today_is) -> str:
    return make_link(cast.charter["S2"], at=NOW)[1]


@pytest.fixture
def phone() -> Client:
    return Client()


def sent_page(phone, secret):
    return phone.get(reverse("skipper-sent", args=[secret]))


def shown(page) -> str:
    """The page without what only waits to be shown by the phone's script."""
    return re.sub(r"<template.*?</template>", "", page.content.decode(), flags=re.DOTALL)


@pytest.mark.parametrize(("words", "raises"), [("Die Gasflasche ist leer.", ""), ("Riecht nach Gas", "gas")])
def test_the_place_chosen_and_the_spares_used_raise_nothing_only_the_own_words_do(
    cast, phone, secret, words, raises
):
    kind = cast.part["sandpiper gas-bottle"].kind
    kind.system = "Gas"
    kind.save()
    page = phone.get(reverse("skipper", args=[secret]))
    tap(phone, page, MAIN, words=words, where="system:Gas", used_words="gas hose, smoke alarm")
    kept = Defect.objects.get()
    assert kept.words == f"{words}\n\nWhere: Gas\n\nUsed: gas hose, smoke alarm"
    assert about(kept.alarm) == raises
    assert (ASKS in said(sent_page(phone, secret))) == bool(raises)


def test_the_advice_that_fits_stays_on_top_with_the_telephone_beneath_it(cast, phone, secret):
    type(cast.base).objects.update(phone="+30 210 555 0101")
    front = phone.get(reverse("skipper", args=[secret]))
    tap(phone, front, MAIN, words="Burning smell behind the panel")
    tap(phone, sent_page(phone, secret), "Yes, now")
    page = shown(sent_page(phone, secret))
    advice, ring = page.index("everyone on deck, lifejackets on; engine"), page.index("tel:")
    assert advice < ring < page.index("<h1>")
    assert page.count("tel:") == 1
    assert "You said it is happening now." in said(sent_page(phone, secret))
    look_at(Defect.objects.get(), who="Tomé", seen="Nothing", nothing=True, at=NOW)
    assert "everyone on deck, lifejackets on; engine" not in said(sent_page(phone, secret))


def test_of_several_the_worst_is_asked_first(phone, secret):
    for words in ("It is burning", "Water in the bilge", "The steering is heavy", "Smell of gas"):
        tap(phone, phone.get(reverse("skipper", args=[secret])), MAIN, words=words)
    page = sent_page(phone, secret).content.decode()
    order = [page.index(f"<bdi>{words}") for words in ("It is burning", "Smell of gas", "Water in", "The st")]
    assert order == sorted(order)


def test_it_never_was_is_kept_with_its_words_and_the_look_is_still_asked(phone, secret):
    tap(phone, phone.get(reverse("skipper", args=[secret])), MAIN, words="The gas light of the stove is out")
    answered = tap(phone, sent_page(phone, secret), "It never was")
    page = phone.get(answered["Location"])
    assert "it never was, the words mean something else. Somebody of the base looks" in said(page)
    step = DefectStep.objects.get()
    assert (step.step, step.why) == ("not any more", "It never was: the words mean something else")
    assert "You said it never was: the words mean something else." in said(page)
    assert 'class="caution"' not in shown(page)
    assert Defect.objects.not_looked_at().count() == 1


def test_who_comes_stands_at_the_report_it_is_for(cast, phone, secret):
    tap(phone, phone.get(reverse("skipper", args=[secret])), MAIN, words="Burning smell")
    row = Defect.objects.latest("pk")
    call = open_call_out(
        row.boat, Call("Bight of Sand", NOW, ""), defects=[row], charter=cast.charter["S2"], at=NOW
    )
    assert "comes," not in said(sent_page(phone, secret))
    say_step(call, "promised", who="Tomé Vasquel", promised_at=NOW + timedelta(hours=5), at=NOW)
    assert "Tomé Vasquel comes, Thu 21:00." in said(sent_page(phone, secret))
    say_step(call, "on the way", who="Tomé Vasquel", at=NOW)
    assert "Tomé Vasquel is on the way." in said(sent_page(phone, secret))
