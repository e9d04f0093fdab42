"""Taking a boat back at the desk: asked before saving, answered with one tap, nothing typed is lost."""

from decimal import Decimal

import pytest
from django.urls import reverse

from fleet.meters.models import Reading
from maintenance.defects.models import Defect
from maintenance.planning.actions import change_boat
from maintenance.spares.facts import hands
from maintenance.turnaround.models import Return
from tests.cast import NOW, TODAY, due_list_holds
from tests.doors.sheets import MAIN, said, sheet_with, sheets, tap


@pytest.fixture
def form(cast, engineer):
    """A boat's return, opened; and what its fields for dials are called."""

    def form(boat: str):
        return engineer.get(reverse("return", args=["harbour", cast.boat[boat].pk]))

    return form


@pytest.fixture
def dial(cast):
    return lambda meter: f"dial-{cast.meter[meter].pk}"


def kept() -> Return:
    return Return.objects.standing().get()


def dials() -> dict[str, tuple[Decimal, str]]:
    rows = [link.reading for link in kept().readings.select_related("reading__meter")]
    return {row.meter.name: (row.dial, row.standing) for row in rows}


def test_a_return_is_kept_and_its_page_says_what_followed(cast, engineer, form, dial):
    typed = {
        dial("sandpiper main"): "1 250,4",
        "defects": "Heads pump leaks\n\nReading light out",
        "lost": "Winch handle",
        "ask-touched_bottom": "yes",
        "ask-water_in_bilge": "no",
        "more0-spare": str(cast.spare["gas bottle"].pk),
        "more0-quantity": "1",
    }
    answer = tap(engineer, form("sandpiper"), MAIN, **typed)
    assert answer.status_code == 302
    assert dials() == {"main": (Decimal("1250.4"), "used")}
    assert (kept().charter.code, kept().recorded_by, kept().filed_by) == (
        "S2",
        cast.person["engineer"],
        "base",
    )
    assert (kept().answers["touched_bottom"], kept().answers["water_in_bilge"]) == (True, False)
    words = said(engineer.get(answer["Location"]))
    for part in ("1 250.4 h", "Reading light out", "Winch handle", "Touched the bottom", "earlier"):
        assert part in words
    assert "2 of 3" in words  # gas bottles left of those that should be there
    assert due_list_holds()


def test_a_doubtful_dial_is_asked_about_before_anything_is_kept(engineer, form, dial):
    page = tap(engineer, form("sandpiper"), MAIN, **{dial("sandpiper main"): "120", "defects": "Leaks"})
    assert page.status_code == 422
    assert "cannot be right" in said(page)
    assert not Return.objects.exists()
    sheet = sheet_with(page, MAIN)
    assert (sheet.values[dial("sandpiper main")], sheet.values["defects"]) == (["120"], ["Leaks"])


@pytest.mark.parametrize(
    ("typed", "tapped", "hours"),
    [
        ("120", "1 207 h (a digit missing)", "1207"),
        ("12046", "1 204.6 h (tenths read as units)", "1204.6"),
        ("2107", "1 207 h (two digits swapped)", "1207"),
        ("-1207", "1 207 h (a minus too many)", "1207"),
    ],
)
def test_what_was_probably_meant_is_one_tap_away(engineer, form, dial, typed, tapped, hours):
    page = tap(engineer, form("sandpiper"), MAIN, **{dial("sandpiper main"): typed, "defects": "Leaks"})
    answer = tap(engineer, page, tapped)
    assert answer.status_code == 302
    assert dials() == {"main": (Decimal(hours), "used")}
    assert Defect.objects.get().words == "Leaks"
    assert due_list_holds()


def test_two_engines_swapped_are_put_right_with_one_tap(engineer, form, dial):
    port, starboard = dial("twice shy port"), dial("twice shy starboard")
    page = tap(engineer, form("twice shy"), MAIN, **{port: "2360,5", starboard: "1820"})
    assert tap(engineer, page, "were swapped").status_code == 302
    assert dials() == {"port": (1820, "used"), "starboard": (Decimal("2360.5"), "used")}


def test_a_dial_is_kept_as_read_where_one_says_so(cast, engineer, form, dial):
    page = tap(engineer, form("sandpiper"), MAIN, **{dial("sandpiper main"): "120"})
    answer = tap(engineer, page, "Keep as read")
    assert dials() == {"main": (120, "doubtful")}
    assert cast.due("sandpiper engine-oil", "change").hours_now == Decimal("1190.4")
    words = said(engineer.get(answer["Location"]))
    assert "doubt" in words
    week = said(engineer.get(reverse("week", args=["harbour"])))
    assert "Sandpiper, main: 120 h" in week
    assert due_list_holds()


def test_a_corrected_number_is_taken_without_a_further_question(engineer, form, dial):
    page = tap(engineer, form("sandpiper"), MAIN, **{dial("sandpiper main"): "120"})
    assert tap(engineer, page, MAIN, **{dial("sandpiper main"): "1210"}).status_code == 302
    assert dials() == {"main": (1210, "used")}


def test_enter_sends_the_form_and_takes_no_answer_for_one(engineer, form, dial):
    page = tap(engineer, form("sandpiper"), MAIN, **{dial("sandpiper main"): "120"})
    first = sheet_with(page, MAIN).buttons[0]  # a browser taps the first button on Enter
    assert first[0] != "meant"


def test_one_engine_answered_leaves_the_other_to_be_asked_about(engineer, form, dial):
    port, starboard = dial("twice shy port"), dial("twice shy starboard")
    page = tap(engineer, form("twice shy"), MAIN, **{port: "182", starboard: "235"})
    again = tap(engineer, page, "1 8")
    assert again.status_code == 422
    assert sheet_with(again, MAIN).values[starboard] == ["235"]
    assert tap(engineer, again, "2 35").status_code == 302
    assert [standing for _, standing in dials().values()] == ["used", "used"]


def test_a_new_meter_is_asked_nothing(engineer, form, dial, cast):
    new = f"new-{cast.meter['sandpiper main'].pk}"
    answer = tap(engineer, form("sandpiper"), MAIN, **{dial("sandpiper main"): "3", new: "on"})
    assert answer.status_code == 302
    assert cast.due("sandpiper engine-oil", "change").hours_now == Decimal("1190.4")


def test_the_form_sent_twice_is_kept_once(engineer, form, dial):
    page = form("sandpiper")
    first = tap(engineer, page, MAIN, **{dial("sandpiper main"): "1210"})
    second = tap(engineer, page, MAIN, **{dial("sandpiper main"): "1210"})
    assert first["Location"] == second["Location"]
    assert Return.objects.count() == 1
    assert Reading.objects.filter(dial=1210).count() == 1


def test_asked_about_and_sent_again_it_keeps_its_id(engineer, form, dial):
    page = form("sandpiper")
    asked = tap(engineer, page, MAIN, **{dial("sandpiper main"): "120"})
    assert sheet_with(asked, MAIN).values["client_id"] == sheet_with(page, MAIN).values["client_id"]


def test_a_part_or_the_whole_is_undone_from_what_followed(cast, engineer, form, dial):
    typed = {dial("sandpiper main"): "1250", "defects": "Leaks"}
    where = tap(engineer, form("sandpiper"), MAIN, **typed)["Location"]
    page = engineer.get(where)
    parts = [b for s in sheets(page) for b in s.buttons if b[1].startswith(("defect:", "reading:"))]
    assert len(parts) == 2
    engineer.post(where, {"what": next(b[1] for b in parts if b[1].startswith("defect:"))})
    assert not Defect.objects.open().exists()
    engineer.post(where, {"what": "all"})
    assert not Return.objects.standing().exists()
    assert cast.due("sandpiper engine-oil", "change").hours_now == Decimal("1190.4")
    assert engineer.get(where).status_code == 200
    assert due_list_holds()


def test_the_next_day_nothing_is_undone(engineer, form, dial, today_is, now):
    where = tap(engineer, form("sandpiper"), MAIN, **{dial("sandpiper main"): "1250"})["Location"]
    today_is.move_to(now.replace(hour=21))  # midnight at the base
    assert engineer.post(where, {"what": "all"}).status_code == 409
    assert not [b for s in sheets(engineer.get(where)) for b in s.buttons if b[1] == "all"]
    assert Return.objects.standing().exists()


@pytest.mark.parametrize("what", ["reading:²", "reading:0", "reading:", "boat:1", "", "reading:" + "9" * 30])
def test_what_a_return_did_not_keep_is_not_undone(engineer, form, dial, what):
    where = tap(engineer, form("sandpiper"), MAIN, **{dial("sandpiper main"): "1250"})["Location"]
    assert engineer.post(where, {"what": what}).status_code == 404
    other = Reading.objects.exclude(dial=1250).first()
    assert engineer.post(where, {"what": f"reading:{other.pk}"}).status_code == 404
    assert Return.objects.standing().exists()


def test_a_boat_whose_charter_went_on_with_another_is_taken_back_from_that_charter(cast, engineer, form):
    change_boat(cast.charter["S2"], cast.boat["blank page"], from_on=TODAY, why="engine", at=NOW)
    tap(engineer, form("sandpiper"), MAIN, defects="Engine stopped")
    assert kept().charter.code == "S2"
    blank = reverse("return", args=["harbour", cast.boat["blank page"].pk])
    waiting = engineer.get(reverse("returns", args=["harbour"])).content.decode()
    assert f"{blank}?charter=S2" in waiting


def test_what_the_book_does_not_have_is_used_and_shown_as_a_count_to_make(cast, engineer, form):
    locker = cast.place["sandpiper locker"]
    typed = {
        "more0-spare": str(cast.spare["oil"].pk),
        "more0-quantity": "4,5",
        "more0-place": str(locker.pk),
    }
    where = tap(engineer, form("sandpiper"), MAIN, **typed)["Location"]
    assert hands()[cast.spare["oil"].pk, locker.pk] == Decimal("-4.5")
    assert "A count to make" in said(engineer.get(where))


def test_what_her_kit_lacks_since_is_said_and_leads_to_filling_it(cast, engineer, sign_in, form):
    spare, locker = cast.spare["impeller kit"], cast.place["sandpiper locker"]
    typed = {"more0-spare": str(spare.pk), "more0-quantity": "3", "more0-place": str(locker.pk)}
    where = tap(engineer, form("sandpiper"), MAIN, **typed)["Location"]
    page = engineer.get(where)
    assert "Her kit lacks impeller kit, Sandpiper locker lacks 1: −2 of 1 by the book" in said(page)
    fill = f"{reverse('fill-kits', args=['harbour'])}?boat={locker.boat_id}"
    assert f'<a href="{fill}">Fill it from the store</a>' in page.content.decode()
    assert fill not in sign_in("office").get(where).content.decode()
