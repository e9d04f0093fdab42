"""What came to a base before its phones sent by themselves stays as it was, and what rests on it answers."""

import json
from collections import Counter
from io import StringIO

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from fleet.boats.models import Boat
from maintenance.defects.models import Defect, DefectStep
from maintenance.jobs.models import CallOut, PartTaken
from maintenance.release.models import HoldRule, Release
from maintenance.turnaround.models import (
    Handover,
    LinkDefect,
    LinkDefectPhoto,
    LinkReturn,
    LinkReturnPhoto,
    Return,
    ReturnSeen,
)
from tests.keeping.releases import SECRET, how_boats_stand, rows_of, said

pytestmark = [pytest.mark.long, pytest.mark.xdist_group("release 3")]
RELEASE = "3.json.gz"
# How the release's own code, with its own `judged_of`, told its boats when the file was made: the word,
# how many reasons hold her, how many are let be, whether her release fell.
TOLD_THEN = {
    "bowline": ("held", 5, 0, False),
    "carrick": ("held", 3, 0, False),
    "cowrie": ("held", 3, 0, False),
    "levanter": ("fit with limits", 0, 1, False),
    "limpet": ("held", 4, 0, False),
    "marline": ("not released", 0, 0, False),
    "periwinkle": ("not released", 0, 0, False),
    "scallop": ("held", 2, 0, False),
    "sheepshank": ("held", 2, 0, True),
    "splice": ("fit with limits", 0, 0, False),
    "whelk": ("fit", 0, 0, False),
    "zephyr": ("held", 1, 0, False),
}


def test_what_came_by_a_link_has_no_clock_nothing_odd_and_no_photo_to_come(then):
    reports, returns = (rows_of(then, f"maintenance_link{name}") for name in ("defect", "return"))
    assert reports
    assert returns
    for kept, were in ((LinkDefect, reports), (LinkReturn, returns)):
        rows = [(row.pk, row.link_id, row.clock_off, row.odd) for row in kept.objects.order_by("pk")]
        assert rows == [(row["id"], row["link_id"], None, []) for row in were]
    for new in (LinkDefectPhoto, LinkReturnPhoto, ReturnSeen):
        assert not new.objects.exists()


def test_steps_keep_their_words_and_each_is_still_one_of_the_list(then):
    said = [(row["step"], row["by"], row["why"]) for row in rows_of(then, "maintenance_defectstep")]
    assert Counter(DefectStep.objects.values_list("step", "by", "why")) == Counter(said)
    assert {step for step, _, _ in said} == {*DefectStep.Step.values} - {DefectStep.Step.SEEN}
    for step in DefectStep.objects.all():
        step.clean_fields()


def test_each_boat_stands_as_the_release_itself_told(then):
    assert how_boats_stand() == TOLD_THEN
    assert HoldRule.objects.exists()


def test_no_line_differs_from_one_derived_afresh(then):
    out = StringIO()
    call_command("reforecast", "--check", stdout=out)
    assert out.getvalue() == "No line differs.\n"


def test_the_skipper_still_reads_what_was_sent_and_what_was_answered(then):
    page = said(Client().get(f"/s/{SECRET}/sent/"))
    for words in ("Es riecht nach Gas in der Pantry", "Das Dampferlicht geht nicht mehr", "Πετσέτα"):
        assert words in page
    assert "We look at it at noon." in page
    assert "Rasmo Quell" in page  # who comes
    photos = [line for line in page.split('"') if line.startswith(f"/s/{SECRET}/papers/")]
    assert photos


def test_a_phone_is_told_how_far_what_was_sent_by_forms_has_got(then):
    stands = json.loads(said(Client().get(f"/s/{SECRET}/stands/")))["stands"]
    assert {name: one["stand"] for name, one in stands.items()} == {
        "third-gas": "sent",
        "third-return": "seen",
    }


def test_every_report_can_be_opened_by_the_engineer_in_the_words_it_came_in(engineer_then):
    rows = list(Defect.objects.standing())
    assert len(rows) > 40
    for row in rows:
        page = said(engineer_then.get(reverse("defect", args=["alvorim", row.pk])))
        assert row.words.partition("\n")[0].partition(":")[0] in page  # a line or a colon is set apart


@pytest.mark.parametrize(
    ("name", "rows"),
    [
        ("filed", Return),
        ("release-sheet", Release),
        ("call-out", CallOut),
        ("part-taken", PartTaken),
        ("boat", Boat),
        ("hull", Boat),
        ("round", Boat),
        ("release", Boat),
        ("winter-boat", Boat),
    ],
)
def test_each_has_its_page(engineer_then, name, rows):
    kept = rows.objects.standing() if hasattr(rows, "void") else rows.objects.all()
    assert kept
    for row in kept:
        boat = row if rows is Boat else row.to_boat if rows is PartTaken else row.boat
        assert boat.name in said(engineer_then.get(reverse(name, args=["alvorim", row.pk])))


def test_what_was_told_at_a_handover_is_told_still(engineer_then):
    handed = list(Handover.objects.standing().order_by("pk"))
    assert [row.boat.code for row in handed] == ["splice", "periwinkle"]
    for row in handed:
        page = said(engineer_then.get(reverse("handover-sheet", args=["alvorim", row.charter_id])))
        assert row.boat.name in page
        assert row.by in page
    splice = said(engineer_then.get(reverse("handover-sheet", args=["alvorim", handed[0].charter_id])))
    assert "Use the forward heads only" in splice


@pytest.mark.parametrize("name", ["week", "defects", "call-outs", "releases", "winter", "gear", "safety"])
def test_a_page_of_the_whole_base_opens(engineer_then, name):
    assert "Porto Alvorim" in said(engineer_then.get(reverse(name, args=["alvorim"])))
