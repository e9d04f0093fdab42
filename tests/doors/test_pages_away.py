"""A part's pages: sent away, a lent one aboard, back with its paper; its history; moved to another boat."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from fleet.boats.models import Fitting
from maintenance.jobs.away import away_now
from maintenance.jobs.models import AwayStep, Job
from tests.cast import due_list_holds
from tests.doors.sheets import said, sheet_with, tap

RAFT = ("twice shy life-raft", "raft")


@pytest.fixture
def page(cast, engineer):
    """A page of the raft, or of another part."""

    def page(name: str = "away", part: str = "twice shy life-raft"):
        return engineer.get(reverse(name, args=["harbour", cast.part[part].pk]))

    return page


@pytest.fixture
def sent(cast, engineer, page):
    return tap(engineer, page(), "Sent away", **{"sent-whom": "Raft station", "sent-day": "2026-05-26"})


def test_three_facts_and_only_the_last_moves_the_line(cast, engineer, page, sent):
    raft = cast.part["twice shy life-raft"]
    assert "Away to Raft station since Tue 26 May" in said(page())
    assert cast.due(*RAFT).due_on == date(2026, 6, 2)
    tap(engineer, page(), "Lent one aboard", **{"lent-serial": "L-09", "lent-day": "2026-05-27"})
    assert "L-09" in said(page())
    assert cast.due(*RAFT).due_on == date(2026, 6, 2)
    back = {"back-day": "2026-05-27", "back-paper": "RS-4471", "back-printed": "05/2027"}
    assert tap(engineer, page(), "It is back", **back).status_code == 302
    assert cast.due(*RAFT).due_on == date(2027, 5, 31)
    assert away_now([raft.pk]) == {}
    assert AwayStep.objects.count() == 3
    assert due_list_holds()


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"back-printed": "03/04/2027"}, "wanted a day such as"),
        ({"back-day": "2026-05-29"}, "up to today"),
        ({"back-day": "soon"}, "wanted a day such as"),
        ({"back-paper": ""}, "required"),
    ],
)
def test_a_paper_that_cannot_be_is_said_and_the_thing_stays_away(cast, engineer, page, sent, typed, why):
    given = {"back-day": "2026-05-27", "back-paper": "RS-4471", "back-printed": "05/2027"} | typed
    answer = tap(engineer, page(), "It is back", **given)
    assert answer.status_code == 422
    assert why in said(answer)
    for name, text in given.items():
        assert sheet_with(answer, "It is back").values[name] == [text]
    assert cast.part["twice shy life-raft"].pk in away_now([cast.part["twice shy life-raft"].pk])
    assert not Job.objects.exists()
    assert due_list_holds()


def test_nothing_is_sent_away_tomorrow_or_to_nobody(engineer, page):
    for typed in ({"sent-whom": "X", "sent-day": "2026-05-29"}, {"sent-whom": "", "sent-day": "2026-05-26"}):
        assert tap(engineer, page(), "Sent away", **typed).status_code == 422
    assert not AwayStep.objects.exists()


def test_sent_twice_it_is_refused_the_second_time(engineer, page):
    form = page()
    typed = {"sent-whom": "Raft station", "sent-day": "2026-05-26"}
    tap(engineer, form, "Sent away", **typed)
    assert tap(engineer, form, "Sent away", **typed).status_code == 422
    assert AwayStep.objects.count() == 1


def test_a_parts_page_says_where_it_has_been_and_what_was_done(page):
    words = said(page("component", "sandpiper engine-oil"))
    assert "Sandpiper" in words
    assert "Change" in words
    assert "from Wed 1 Mar 2023" in words


def move(cast) -> dict[str, str]:
    """What is typed to move a part to Blank Page."""
    return {
        "boat": str(cast.boat["blank page"].pk),
        "meter": str(cast.meter["blank page main"].pk),
        "why": "in a hurry",
        "dial": "640",
        "dial_removed": "1195",
    }


def named(cast, field: str, text: str) -> str:
    """A boat or meter of the cast as the form chooses it; anything else as typed."""
    row = {"boat": cast.boat, "meter": cast.meter}.get(field, {}).get(text)
    return str(row.pk) if row else text


def test_a_part_moved_takes_its_hours_and_its_line_along(cast, engineer, page):
    answer = tap(engineer, page("component", "sandpiper impeller"), "Move it", **move(cast))
    assert answer.status_code == 302
    line = cast.due("sandpiper impeller", "look")
    # served at 1120, moved at 1195: 75 h run, 25 left on a meter that showed 640 when fitted
    assert (line.boat, line.due_hours) == (cast.boat["blank page"], Decimal(665))
    assert "Blank Page" in said(engineer.get(answer["Location"]))
    assert due_list_holds()


@pytest.mark.parametrize(
    "typed",
    [
        {"on": "2026-05-29"},
        {"on": "2020-01-01"},
        {"on": ""},
        {"dial_removed": "119"},
        {"dial_removed": "12x4"},
        {"dial": "-5"},
        {"meter": ""},
        {"meter": "sandpiper main"},
        {"meter": "twice shy port"},
        {"boat": "far cry"},
        {"why": ""},
    ],
    ids=str,
)
def test_a_move_that_cannot_be_is_refused_and_the_part_stays(cast, engineer, page, typed):
    typed = {name: named(cast, name, text) for name, text in typed.items()}
    answer = tap(engineer, page("component", "sandpiper impeller"), "Move it", **move(cast) | typed)
    assert answer.status_code == 422
    assert sheet_with(answer, "Move it").values["why"] == [typed.get("why", "in a hurry")]
    stay = Fitting.objects.standing().get(component=cast.part["sandpiper impeller"])
    assert (stay.boat, stay.removed_on) == (cast.boat["sandpiper"], None)
    assert due_list_holds()
