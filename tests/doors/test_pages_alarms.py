"""Alarms at the doors: asked of the sender, on top of the week, looked at in one tap, words of the base."""

import pytest
from django.test import Client
from django.urls import reverse

from fleet.charters.links import make_link
from maintenance.defects.actions import report_defect
from maintenance.defects.models import AlarmWord, Defect, DefectStep
from maintenance.turnaround.models import Return
from tests.cast import NOW
from tests.doors.sheets import MAIN, said, sheets, tap
from tests.factories import BaseFactory

ASKS = "Is it happening now?"


@pytest.fixture
def secret(cast, today_is) -> str:
    return make_link(cast.charter["S2"], at=NOW)[1]


@pytest.fixture
def phone() -> Client:
    return Client()


@pytest.fixture
def smell(cast, today_is) -> Defect:
    return report_defect(
        cast.boat["sandpiper"], words="Burning smell behind the panel", at=NOW, reporter="Mate"
    )


def sent_page(phone, secret):
    return phone.get(reverse("skipper-sent", args=[secret]))


def look_page(browser, defect):
    return browser.get(reverse("look", args=["harbour", defect.pk]))


# Asked of who sent it


@pytest.mark.parametrize("danger", ["", "no"])
def test_a_word_of_alarm_asks_the_skipper_whatever_was_ticked(phone, secret, danger):
    page = phone.get(reverse("skipper", args=[secret]))
    tap(phone, page, MAIN, words="Es riecht nach Gas", danger=danger)
    text = said(sent_page(phone, secret))
    assert text.index(ASKS) < text.index("What you sent, and what the base says", 60)
    assert "Shut off at the bottle" in text or "shut off at the bottle" in text
    assert Defect.objects.get().alarm


def test_who_said_danger_is_not_asked_and_neither_is_who_wrote_of_no_alarm(phone, secret):
    front = phone.get(reverse("skipper", args=[secret]))
    tap(phone, front, MAIN, words="Smoke", danger="yes")
    tap(phone, front, MAIN, words="Gas bottle empty")
    assert ASKS not in said(sent_page(phone, secret))


@pytest.mark.parametrize(
    ("answer", "step", "says"),
    [
        ("Yes, now", "happening now", "then ring the base"),
        ("Not any more", "not any more", "looks all the same"),
    ],
)
def test_the_answer_is_kept_once_and_asked_until_it_came(phone, secret, answer, step, says):
    tap(phone, phone.get(reverse("skipper", args=[secret])), MAIN, words="Burning smell")
    page = sent_page(phone, secret)
    assert ASKS in said(sent_page(phone, secret))
    answered = tap(phone, page, answer)
    assert says in said(phone.get(answered["Location"]))
    assert "answered already" in said(phone.get(tap(phone, page, "Yes, now")["Location"]))
    assert DefectStep.objects.get().step == step
    assert ASKS not in said(sent_page(phone, secret))
    assert Defect.objects.not_looked_at().count() == 1, "the alarm stands until somebody looked"


def test_a_yes_brings_what_to_do_in_danger_until_it_ends(phone, secret):
    tap(phone, phone.get(reverse("skipper", args=[secret])), MAIN, words="Burning smell")
    tap(phone, sent_page(phone, secret), "Yes, now")
    assert "VHF channel 16" in said(sent_page(phone, secret))


def test_what_a_return_tells_of_is_asked_about_as_well(phone, secret):
    page = phone.get(reverse("skipper-return", args=[secret]))
    tap(
        phone, page, MAIN, **{"ask-gas_or_fumes_smelled": "yes", "ask-touched_bottom": "yes", "lost": "Torch"}
    )
    assert Return.objects.exists()
    assert said(sent_page(phone, secret)).count(ASKS) == 1


@pytest.mark.parametrize("sent", [{}, {"happening": "perhaps"}, {"happening": "yes", "defect": "x" * 99}])
def test_an_answer_that_is_none_keeps_nothing_and_is_said(phone, secret, smell, sent):
    tap(phone, phone.get(reverse("skipper", args=[secret])), MAIN, words="Burning smell")
    where = reverse("skipper-happening", args=[secret])
    assert phone.post(where, sent).status_code == 302
    assert not DefectStep.objects.exists()
    phone.post(where, {"happening": "yes", "defect": smell.pk})
    assert not DefectStep.objects.exists(), "another's report is not answered for"
    assert phone.get(where)["Location"] == reverse("skipper-sent", args=[secret])


def test_a_base_reports_in_its_own_words_and_is_led_to_the_look(cast, engineer):
    where = reverse("report-defect", args=["harbour", cast.boat["sandpiper"].pk])
    page = engineer.get(where)
    part = cast.part["sandpiper impeller"]
    sent = tap(
        engineer, page, MAIN, words="Smoke from the engine", at=f"thing:{part.pk}", works="no", danger="no"
    )
    row = Defect.objects.get()
    assert (row.component, row.works, row.risk_now, row.alarm) == (part, "no", False, "smoke")
    assert (row.reporter, row.charter) == (cast.person["engineer"].name, cast.charter["S2"])
    look = engineer.get(sent["Location"])
    assert ASKS in said(look)
    again = tap(engineer, page, MAIN, words="Smoke from the engine")
    assert again["Location"] == sent["Location"]
    assert Defect.objects.count() == 1
    assert ASKS not in said(engineer.get(tap(engineer, look, "Not any more")["Location"]))


def test_who_looks_is_not_asked_what_only_the_sender_knows(engineer, smell):
    assert ASKS not in said(look_page(engineer, smell))
    engineer.post(reverse("look", args=["harbour", smell.pk]), {"happening": "no", "defect": smell.pk})
    assert not DefectStep.objects.exists()


def test_a_report_without_alarm_leads_to_its_page_at_a_part_of_the_hull(cast, engineer):
    where = reverse("report-defect", args=["harbour", cast.boat["sandpiper"].pk])
    sent = tap(engineer, engineer.get(where), MAIN, words="Scratch", at="hull:bow", reporter="A. Diver")
    row = Defect.objects.get()
    assert (row.hull, row.reporter) == ("bow", "A. Diver")
    assert sent["Location"] == reverse("defect", args=["harbour", row.pk])


def test_a_report_that_says_nothing_is_said_at_its_field_and_keeps_the_rest(cast, engineer):
    where = reverse("report-defect", args=["harbour", cast.boat["sandpiper"].pk])
    page = tap(engineer, engineer.get(where), MAIN, reporter="A. Diver", at="thing:999999")
    assert page.status_code == 422
    assert "What is wrong: wanted a few words" in said(page)
    assert "Where it is at: wanted" in said(page)
    assert "A. Diver" in page.content.decode()
    assert not Defect.objects.exists()


# The base's side


def test_an_alarm_stands_on_top_of_the_week_and_of_the_boats_page_until_somebody_looked(
    cast, engineer, smell
):
    for where in (reverse("week", args=["harbour"]), reverse("boat", args=["harbour", smell.boat_id])):
        text = said(engineer.get(where))
        assert "An alarm nobody has looked at" in text
        assert "Burning smell behind the panel" in text
    other = reverse("boat", args=["harbour", cast.boat["blank page"].pk])
    assert "An alarm nobody has looked at" not in said(engineer.get(other))
    tap(engineer, look_page(engineer, smell), "there is nothing")
    assert "An alarm nobody has looked at" not in said(engineer.get(reverse("week", args=["harbour"])))


def test_what_is_danger_now_stands_first(cast, engineer, smell):
    report_defect(cast.boat["blank page"], words="Seacock stuck", at=NOW, risk_now=True)
    text = said(engineer.get(reverse("week", args=["harbour"])))
    assert "2 alarms nobody has looked at" in text
    assert text.index("Seacock stuck") < text.index("Burning smell")


# The base's own words


@pytest.fixture
def words(sign_in):
    manager = sign_in("manager")
    return lambda: (manager, manager.get(reverse("alarm-words", args=["harbour"])))


def test_a_base_adds_a_word_that_raises_the_alarm_from_then_on_and_takes_it_off(cast, words):
    boat = cast.boat["sandpiper"]
    manager, page = words()
    assert tap(manager, page, "Add it", phrase="whistl*").status_code == 302
    assert report_defect(boat, words="It whistles", at=NOW).alarm == "whistl*"
    tap(manager, words()[1], "Take off")
    assert report_defect(boat, words="It whistles", at=NOW).alarm == ""


def test_a_base_says_what_is_harmless_there(cast, words):
    manager, page = words()
    warned = tap(manager, page, "Add it", phrase="steering gear grease", sort="harmless", language="en")
    assert "raises no alarm from now on" in said(manager.get(warned["Location"]))
    assert report_defect(cast.boat["sandpiper"], words="Steering gear grease used up", at=NOW).alarm == ""


def test_another_bases_words_count_there_only(cast, words):
    elsewhere = BaseFactory(code="away")
    AlarmWord.objects.create(base=elsewhere, phrase="squeak")
    assert report_defect(cast.boat["sandpiper"], words="Squeak in the rig", at=NOW).alarm == ""
    manager, _ = words()
    gone = {"what": "remove", "word": AlarmWord.objects.get().pk}
    assert manager.post(reverse("alarm-words", args=["harbour"]), gone).status_code == 404


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("Rauch in der Kabine", "Raises the alarm by “ rauch ” (fire)"),
        ("Gas bottle empty", "Raises no alarm."),
        ("", "A report to try: wanted a few words"),
    ],
)
def test_a_report_is_tried_and_nothing_is_kept(words, typed, told):
    manager, page = words()
    assert told in said(tap(manager, page, "Try it", words=typed))
    assert not Defect.objects.exists()


@pytest.mark.parametrize(
    ("phrase", "wanted"),
    [
        ("", "Word or words: wanted a word or a few"),
        ("*", "Word or words: wanted a word or a few, 2 to 60 letters"),
        ("…!", "Word or words: wanted a word or a few, 2 to 60 letters"),
        ("x" * 61, "Word or words: wanted up to 60 letters"),
        ("WHISTL*", "it is taken"),
    ],
)
def test_a_word_that_is_none_is_said_at_its_field(words, phrase, wanted):
    manager, page = words()
    tap(manager, page, "Add it", phrase="whistl*")
    answer = tap(manager, page, "Add it", phrase=phrase)
    assert answer.status_code == 422
    assert wanted in said(answer)
    assert AlarmWord.objects.count() == 1


def test_the_list_is_shown_by_language(words):
    text = said(words()[1])
    for name in (
        "English",
        "German",
        "French",
        "Italian",
        "Spanish",
        "Greek",
        "Croatian",
        "Polish",
        "rauchgeruch",
    ):
        assert name in text
    assert len(sheets(words()[1])) >= 3
