"""What a release says later: why so many names, what was opened, who read it, what was said before."""

from datetime import timedelta

import pytest
from django.urls import reverse

from maintenance.defects.actions import end_defect, grade_defect, report_defect
from maintenance.defects.hull import HullLook, Touch
from maintenance.release.actions import Name, release_boat
from maintenance.release.facts import judge
from maintenance.release.models import Release
from maintenance.release.rule_list import TOUCH, UNSAFE
from maintenance.turnaround.handing_over import hand_over
from tests.cast import NOW, TODAY
from tests.doors.sheets import said, sheets, tap

NOTHING = (
    "Opened: nothing is recorded as opened since she last went out (fixed gas, structure, the raft itself)"
)


@pytest.fixture
def boat(cast):
    return cast.boat["sandpiper"]


@pytest.fixture
def page(engineer, boat):
    def page(who=engineer, **query: str):
        return who.get(reverse("release", args=["harbour", boat.pk]), query)

    return page


@pytest.fixture
def sheet(engineer):
    def sheet(row=None):
        row = row or Release.objects.latest("pk")
        return said(engineer.get(reverse("release-sheet", args=["harbour", row.pk])))

    return sheet


@pytest.fixture
def released(cast, boat):
    """Releases her for a charter at an instant, in the name of one person."""

    def released(code="S3", at=NOW, **more):
        return release_boat(boat, cast.charter[code], [Name("Engineer")], at=at, **more)

    return released


def put_right(boat, words="A shroud is worn", at=NOW - timedelta(minutes=5), **more):
    row = report_defect(boat, words=words, at=at)
    grade_defect(row, grade="unsafe", who="Tome", at=at)
    return end_defect(row, step="put right", who="Tome", why="New shroud", at=at, **more)


def test_the_sheet_says_by_which_rule_and_for_which_defect_two_names_are_wanted(boat, released, sheet):
    put_right(boat)
    text = sheet(released())
    assert "Why 2 names are wanted:" in text
    settled = "Settled since she last went out: A shroud is worn (put right by Tome: New shroud)"
    assert f"An open defect of grade unsafe {settled}" in text


def test_what_was_put_right_after_the_release_is_not_why_it_wanted_two_names(boat, released, sheet):
    put_right(boat)
    row = released()
    put_right(boat, "The backstay", at=NOW + timedelta(minutes=5))
    assert "The backstay" not in sheet(row)


def test_the_sheet_says_that_nothing_was_opened_or_what_and_whether_its_paper_is_here(boat, released, sheet):
    assert NOTHING in sheet(released())
    row = put_right(boat, "Gas hose", opened="fixed gas").defect
    held = {"let_be": [r.key for r in _reasons(boat)], "limits": "No cooking", "why": "Paper by post"}
    text = sheet(released(at=NOW + timedelta(minutes=1), **held))
    assert f"Fixed gas: {row.words} . Paper not here" in text


def _reasons(boat):
    base = boat.terms.get().base
    return judge(boat, None, base=base, on=TODAY, now=NOW).standing.reasons


def test_the_sheet_names_skipper_and_design_and_what_to_know_that_holds_nothing(boat, released, sheet):
    type(boat).objects.filter(pk=boat.pk).update(design="Sedge 34")
    report_defect(boat, words="The fridge hums", at=NOW)
    row = released()
    type(row.charter).objects.filter(pk=row.charter_id).update(skipper="Odile Marn")
    text = sheet(row)
    assert "Sedge 34. Charter S3 , skipper Odile Marn" in text
    assert "To know, holding nothing Not graded yet: The fridge hums" in text
    assert "This page prints" in text


def test_who_read_it_afterwards_stands_apart_from_whose_names_it_is_in(boat, page, released, sheet, sign_in):
    put_right(boat)
    row = released()
    assert "The manager reads it." in said(page())
    manager = sign_in("manager")
    tap(manager, manager.get(reverse("releases", args=["harbour"])), "Seen")
    text = sheet(row)
    assert "Read afterwards by Manager, 28 May 2026, 16:00" in text
    assert "Manager" not in text.split("In the names of")[1].split("Read afterwards")[0]
    assert "Read afterwards by Manager, 28 May 2026, 16:00" in said(page())
    assert "The manager reads it." not in said(page())


def test_no_release_is_said_for_a_charter_she_was_handed_over_for(cast, boat, page, engineer, released):
    opened = page()
    row = released()
    hand_over(boat, row.charter, who="Tome", why="No round", at=NOW)
    text = said(page())
    assert "She was handed over for S3, 28 May 2026, 16:00, by Tome." in text
    assert not any("Release her" in b[2] or "She is held" in b[2] for s in sheets(page()) for b in s.buttons)
    answer = tap(engineer, opened, "Release her", how="looked at it")
    assert "nothing was kept. She was handed over for S3" in said(engineer.get(answer["Location"]))
    assert Release.objects.count() == 1


def test_handed_over_yesterday_and_fallen_since_she_can_be_released_again_before_she_leaves(
    boat, page, released, today_is
):
    hand_over(boat, released().charter, who="Tome", why="No round", at=NOW)
    today_is.shift(timedelta(days=1))
    assert "She was handed over for S3" in said(page())
    put_right(boat, at=NOW + timedelta(hours=2))
    assert "She was handed over for S3" not in said(page())
    assert any("Release her" in b[2] for s in sheets(page()) for b in s.buttons)


def test_no_release_is_said_for_a_charter_she_is_out_on(cast, page, today_is):
    today_is.shift(timedelta(days=3))
    text = said(page(charter=str(cast.charter["S3"].pk)))
    assert "She is out on charter S3 since Sat 30 May, and nobody has told that she is back." in text
    assert "Say that she does not go" not in text


def test_what_was_said_before_stays_in_reach_with_its_sheet(cast, boat, page, engineer, released, today_is):
    row = released()
    today_is.shift(timedelta(days=12))
    where = reverse("release-sheet", args=["harbour", row.pk])
    assert "Said before Fit for S3, out Sat 30 May said 28 May 2026, 16:00" in said(page())
    assert f'href="{where}"' in page().content.decode()
    hers = engineer.get(reverse("boat", args=["harbour", boat.pk]))
    assert f'href="{reverse("release", args=["harbour", boat.pk])}#before"' in hers.content.decode()


def test_what_was_settled_before_she_left_is_not_settled_since(cast, boat):
    """She left on S2's first day at 17:00: what was put right or looked at that noon went out with it."""
    charter = max(
        (c for c in cast.charter.values() if c.boat_id == boat.pk and c.starts_on < TODAY),
        key=lambda c: c.starts_on,
    )
    left = NOW.replace(day=charter.starts_on.day, month=charter.starts_on.month, hour=14)  # 17:00 there
    type(charter).objects.filter(pk=charter.pk).update(leaves_at="17:00")
    kept = {"boat": boat, "day": charter.starts_on, "touched": "hull"}
    touch = Touch.objects.create(**kept, bottom="mud", force="soft", recorded_at=left - timedelta(hours=6))
    look = kept | {"touch": touch, "who": "Celso", "method": "diver", "seen": "Nothing", "sound": True}
    put_right(boat, at=left - timedelta(hours=5))
    HullLook.objects.create(**look, recorded_at=left - timedelta(hours=5))
    assert not _settled(boat)
    put_right(boat, at=left + timedelta(minutes=1))
    HullLook.objects.create(**look, recorded_at=left + timedelta(minutes=1))
    assert _settled(boat) == {UNSAFE, TOUCH}


def _settled(boat):
    base = boat.terms.get().base
    return judge(boat, None, base=base, on=TODAY, now=NOW).ship.settled
