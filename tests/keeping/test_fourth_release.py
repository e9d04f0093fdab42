"""What phones had sent to a base by the fourth release stays as it came, odd or not, with what the base did
about it; what was still on its way comes in, and what rests on it all answers."""

import json
from base64 import b64decode
from collections.abc import Iterator
from datetime import datetime
from hashlib import sha256
from io import StringIO
from itertools import chain

import pytest
import time_machine
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from fleet.boats.models import Boat
from fleet.ledger import latest
from maintenance.defects.actions import another_than
from maintenance.defects.correcting import part_defect
from maintenance.defects.models import Defect, DefectPaper, DefectStep
from maintenance.pages.defect_story import rows_of as rows_of_report
from maintenance.turnaround.by_phone import Odd
from maintenance.turnaround.models import (
    LinkDefect,
    LinkDefectPhoto,
    LinkReturn,
    LinkReturnPhoto,
    Return,
    ReturnSeen,
)
from maintenance.turnaround.moving import came_from, move_back
from maintenance.turnaround.seeing import unseen_reports, unseen_returns
from tests.conftest import FIXTURES
from tests.keeping.releases import SECRET, brought_forward, how_boats_stand, rows_of, said, told
from tests.phones import Phone, how_far, is_whole

pytestmark = pytest.mark.xdist_group("release 4")
RELEASE = "4.json.gz"
CALLED_OFF = "thecalledoffcharterssecretvz"  # of `fourth.py`, as are the photos that are still to come
TO_COME = {
    "fourthhatcha": b64decode(
        "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAIAAACQd1PeAAAADElEQVR4nGMwTpsJAAICATNWh+JUAAAAAElFTkSuQmCC"
    ),
    "fourthradiob": b64decode(
        "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAIAAACQd1PeAAAADElEQVR4nGOYaZwGAAKbATM8e6bLAAAAAElFTkSuQmCC"
    ),
}
OWN_ID = sha256(b"fourthtabs\nDie Leselampe flackert").hexdigest()  # other words under a known id
# How the release's own code, with its own `judged_of`, told its boats when the file was made: the word,
# how many reasons hold her, how many are let be, whether her release fell.
TOLD_THEN = {
    "bowline": ("held", 5, 0, False),
    "carrick": ("held", 3, 0, False),
    "cowrie": ("held", 3, 0, False),
    "levanter": ("fit with limits", 0, 1, False),
    "limpet": ("held", 4, 0, False),
    "marline": ("not released", 0, 0, False),
    "periwinkle": ("held", 1, 0, False),
    "scallop": ("held", 2, 0, False),
    "sheepshank": ("held", 2, 0, True),
    "splice": ("fit with limits", 0, 0, False),
    "whelk": ("fit", 0, 0, False),
    "zephyr": ("held", 1, 0, False),
}
# How far each report and return had got, by the id the phone made, as the release told the phone.
STOOD_THEN = {
    "third-gas": "sent",
    "third-return": "seen",
    "fourthpump": "seen",
    "fourthdouble": "seen",
    "fourthhatch": "seen",
    "fourthtabs": "ended",
    OWN_ID: "sent",
    "fourthradio": "answered",
    "fourthback": "seen",
}


@pytest.fixture
def to_go_on_with(shelf, django_db_blocker) -> Iterator[None]:
    """Books of a test's own, brought forward, at the moment the release left them."""
    file = FIXTURES / "releases" / RELEASE
    at = datetime.fromisoformat(told(file)["at"])
    with django_db_blocker.unblock(), brought_forward(file, shelf), time_machine.travel(at, tick=False):
        yield


def reported(key: str) -> Defect:
    """A report as it first came in from a phone."""
    return Defect.objects.get(client_id=f"fourth{key}")


def test_what_came_by_a_phone_keeps_its_id_its_clock_and_all_that_was_odd(then):
    odd = set()
    for kept, name, of in ((LinkDefect, "defect", "defect"), (LinkReturn, "return", "filed")):
        ids = {row["id"]: row["client_id"] for row in rows_of(then, f"maintenance_{name}")}
        came = rows_of(then, f"maintenance_link{name}")
        assert list(kept.objects.order_by("pk").values_list(f"{of}__client_id", "clock_off", "odd")) == [
            (ids[row[f"{of}_id"]], row["clock_off"], json.loads(row["odd"])) for row in came
        ]
        odd |= set(chain.from_iterable(json.loads(row["odd"]) for row in came))
    assert len(odd) == 9
    assert odd <= {*Odd}
    assert reported("late").came_by.clock_off == 2 * 60 * 60
    assert reported("ended").came_by.clock_off is None


def test_each_photo_is_here_still_to_come_or_refused_as_it_was(then):
    for kept, name in ((LinkDefectPhoto, "defect"), (LinkReturnPhoto, "return")):
        rows = rows_of(then, f"maintenance_link{name}photo")
        columns = sorted(rows[0])
        assert list(kept.objects.order_by("pk").values(*columns)) == sorted(rows, key=lambda row: row["id"])
    here = LinkDefectPhoto.objects.filter(paper__isnull=False)
    assert {row.came.defect.client_id for row in here} == {"fourthpump", "fourthradio"}
    coming = LinkDefectPhoto.objects.filter(paper__isnull=True, refused="")
    assert {row.photo_id for row in coming} == {*TO_COME, "fourthlater"}
    assert LinkDefectPhoto.objects.exclude(refused="").count() == 2


def test_a_photo_that_was_half_here_is_asked_for_from_its_start_and_is_kept_once_it_is_whole(to_go_on_with):
    """Half a photo is in no backup; the phone that asks has all of it."""
    phone = Phone(SECRET)
    for name, data in TO_COME.items():
        assert how_far(phone.head(name)) == 0
        assert phone.send_photo(name, data, cuts=[30]).status_code == 204
        assert is_whole(phone.head(name))
        assert LinkDefectPhoto.objects.get(photo_id=name).paper is not None


def test_a_photo_that_comes_after_its_report_was_moved_is_with_it_on_both_boats(to_go_on_with):
    Phone(SECRET).send_photo("fourthradiob", TO_COME["fourthradiob"])
    first = reported("radio")
    photos = {DefectPaper.objects.filter(defect=row).count() for row in (first, latest(first))}
    assert photos == {2}


def test_the_same_report_sent_once_more_is_not_kept_twice(to_go_on_with):
    before = Defect.objects.count()
    bowline = Boat.objects.get(code="bowline")
    phone = Phone(SECRET, bowline.pk)
    for key, words in (
        ("pump", "Die Pumpe der Toilette leckt, der Boden ist nass"),
        ("hatch", "Das Luk klemmt 🔧"),
    ):
        answer = phone.report(1, id=f"fourth{key}", words=words)
        assert answer.status_code == 200
        assert answer.json()["id"] == f"fourth{key}"
    assert Defect.objects.count() == before


def test_who_saw_a_report_or_a_return_first_is_known_by_name_and_what_nobody_saw_is_still_new(then):
    rows = [row for row in rows_of(then, "maintenance_defectstep") if row["step"] == "seen"]
    kept = DefectStep.objects.filter(step=DefectStep.Step.SEEN).order_by("pk")
    assert list(kept.values_list("defect", "by", "why", "void")) == [
        (row["defect_id"], row["by"], row["why"], row["void"]) for row in rows
    ]
    off = reported("off").steps.filter(step=DefectStep.Step.SEEN).standing()
    assert [step.by for step in off] == ["Tomé Vasquel"]  # another's was taken back
    assert ReturnSeen.objects.get().filed.client_id == "fourthback"
    assert ReturnSeen.objects.get().by == "Ilda Serrão"
    boats = Boat.objects.values("pk")
    new = {row.client_id for row in unseen_reports(boats)}
    assert {"fourthlate", "fourthended", OWN_ID} <= new
    assert not new & {
        "fourthpump",
        "fourthdouble",
        "fourthhatch",
        "fourthoff",
        "fourthradio",
        "fourthchanged",
    }
    assert {row.client_id for row in unseen_returns(boats)} >= {"fourthtwyne", "fourthearly"}


def test_doubles_joined_by_one_touch_go_as_one_and_those_parted_are_two_things(to_go_on_with):
    double, lid, hatch = (latest(reported(key)) for key in ("double", "tabs", "hatch"))
    assert double.same_as == reported("pump")
    assert lid.same_as is None
    apart = lid.case, another_than(hatch)
    assert apart in DefectStep.objects.standing().values_list("defect", "why")
    parted = part_defect(double, at=datetime.now().astimezone())
    assert Defect.objects.open().filter(pk=parted.pk).exists()


def test_a_report_moved_to_the_right_boat_stands_there_with_its_history(engineer_then):
    row = latest(reported("radio"))
    assert (row.boat.code, row.client_id) == ("limpet", "fourth-moved")
    assert came_from(row) == reported("radio")
    page = said(engineer_then.get(reverse("defect", args=["alvorim", row.pk])))
    for words in ("It came in on Bowline and was moved here.", "Moved here from Bowline", "handset"):
        assert words in page


def test_a_report_moved_and_moved_back_stands_where_it_came_in_with_both_moves(engineer_then):
    row = latest(reported("changed"))
    assert (row.boat.code, row.case) == ("zephyr", reported("changed").pk)
    assert came_from(row) is None
    page = said(engineer_then.get(reverse("defect", args=["alvorim", row.pk])))
    assert "Moved here from Zephyr" in page
    assert "Moved here from Limpet" in page


def test_a_report_moved_before_is_moved_back_to_where_it_came_in(to_go_on_with):
    row = move_back(latest(reported("radio")), at=datetime.now().astimezone())
    assert (row.boat.code, row.case) == ("bowline", reported("radio").pk)


def test_each_boat_stands_as_the_release_itself_told(then):
    assert how_boats_stand() == TOLD_THEN


def test_no_line_differs_from_one_derived_afresh(then):
    out = StringIO()
    call_command("reforecast", "--check", stdout=out)
    assert out.getvalue() == "No line differs.\n"


def test_a_phone_is_told_how_far_what_it_sent_has_got_by_the_ids_it_made(then):
    stands = {name: one["stand"] for name, one in Phone(SECRET).stands().items()}
    assert stands == STOOD_THEN


def test_the_phone_of_a_charter_called_off_is_told_so_too(then):
    assert {name: one["stand"] for name, one in Phone(CALLED_OFF).stands().items()} == {"fourthoff": "seen"}


def test_the_skipper_reads_what_the_phone_sent_and_what_was_answered(then):
    page = said(Client().get(f"/s/{SECRET}/sent/"))
    for words in ("Das Luk klemmt 🔧", "Die Leselampe flackert", "Eine Winschkurbel", "Ζωή Κ."):
        assert words in page
    assert "We bring another handset." in page


def test_every_report_can_be_opened_by_the_engineer_with_what_is_odd_about_it(engineer_then):
    odd = dict(LinkDefect.objects.values_list("defect", "odd"))
    rows = list(Defect.objects.standing())
    assert len(rows) > 50
    for row in rows:
        page = said(engineer_then.get(reverse("defect", args=["alvorim", row.pk])))
        assert row.words.partition("\n")[0].partition(":")[0] in page  # a line or a colon is set apart
        assert page.count('class="odd"') == len(odd.get(rows_of_report(row)[0].pk, []))


def test_every_return_can_be_opened_by_the_engineer_with_what_is_odd_about_it(engineer_then):
    rows = list(Return.objects.standing().filter(came_by__isnull=False))
    assert len(rows) == 5
    for row in rows:
        page = said(engineer_then.get(reverse("filed", args=["alvorim", row.pk])))
        assert row.boat.name in page
        assert page.count('class="odd"') == len(row.came_by.odd)


def test_what_is_new_from_the_crews_is_listed_with_its_photos_and_what_is_odd(engineer_then):
    page = said(engineer_then.get(reverse("new-reports", args=["alvorim"])))
    for words in (
        "Es riecht verbrannt hinter dem Kartentisch",
        "The phone’s clock was 2 h fast.",
        "Its link had ended when it came.",
        "Hour meter, starboard: 32O1,5",
        "Charter 4943 had not begun when it came.",
    ):
        assert words in page


@pytest.mark.parametrize("name", ["week", "defects", "returns", "charters", "releases", "spares"])
def test_a_page_of_the_whole_base_opens(engineer_then, name):
    assert "Porto Alvorim" in said(engineer_then.get(reverse(name, args=["alvorim"])))
