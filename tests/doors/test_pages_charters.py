"""Charters at the desk: extended, given another boat, called off; refused with what stands in the way."""

from datetime import date, time

import pytest
from django.urls import reverse

from fleet.charters.models import Charter
from maintenance.defects.actions import grade_defect, report_defect
from maintenance.release.actions import Name, release_boat
from maintenance.turnaround.handing_over import hand_over
from tests.cast import NOW, book, due_list_holds, join
from tests.doors.sheets import said, sheet_with, tap

END, BOAT, OFF = "Change the end", "Change the boat", "Call it off"


@pytest.fixture
def desk(sign_in):
    return sign_in("office")


@pytest.fixture
def page(cast, desk):
    return lambda code: desk.get(reverse("charter", args=["harbour", cast.charter[code].pk]))


def charter(code: str) -> Charter:
    return Charter.objects.get(code=code)


def test_the_list_has_who_is_out_and_who_goes_out(cast, desk, engineer):
    text = said(desk.get(reverse("charters", args=["harbour"])))
    assert "S2" in text
    assert "T2" in text
    assert "S0" not in text
    assert "F1" not in text
    links = engineer.get(reverse("charters", args=["harbour"])).content.decode()
    assert reverse("charter", args=["harbour", cast.charter["S2"].pk]) not in links


def unsafe(cast, boat):
    row = report_defect(cast.boat[boat], words="Forestay stranded", at=NOW)
    grade_defect(row, grade="unsafe", who="A", at=NOW)


def test_each_coming_charter_says_how_its_boat_stands(cast, desk, page):
    cast.interval["raft"].critical = False
    cast.interval["raft"].save()
    listed = lambda: said(desk.get(reverse("charters", args=["harbour"])))  # noqa: E731
    assert "Twice Shy T2 Not released yet" in listed()
    release_boat(cast.boat["twice shy"], charter("T2"), [Name("C. Chief")], at=NOW)
    assert "Twice Shy T2 Fit" in listed()
    assert "Fit" in said(page("T2"))
    hand_over(cast.boat["twice shy"], charter("T2"), who="A", why="alone", at=NOW)
    assert "Twice Shy T2 Handed over" in listed()
    assert "Handed over" in said(page("T2"))
    unsafe(cast, "twice shy")
    assert "Twice Shy T2 Held : Unsafe: Forestay stranded" in listed()
    unsafe(cast, "sandpiper")
    assert "Sandpiper S3 Held : Unsafe" in listed()
    assert "Sandpiper S4 Held now : Unsafe" in listed()


def test_the_list_asks_the_store_as_often_for_many_charters(cast, desk, django_assert_max_num_queries):
    def asked() -> int:
        with django_assert_max_num_queries(60) as queries:
            desk.get(reverse("charters", args=["harbour"]))
        return len(queries)

    few = asked()
    for n in range(8):
        join(cast, f"sister {n}")
        book(cast, f"N{n}", f"sister {n}", "2026-05-30", "2026-06-06")
    assert asked() == few


def test_extended_by_a_day_moves_what_follows_and_says_so(cast, desk, page):
    answer = tap(desk, page("T1"), END, **{"extend-ends_on": "2026-05-29", "extend-back_at": "14:00"})
    assert answer.status_code == 302
    assert (charter("T1").ends_on, charter("T1").back_at) == (date(2026, 5, 29), time(14))
    assert "T1: now back on Fri 29 May" in said(desk.get(answer["Location"]))
    assert due_list_holds()


@pytest.mark.parametrize(
    ("ends_on", "back_at", "why"),
    [
        ("2026-05-31", "09:00", "Sandpiper is out on S3"),
        ("2026-05-30", "18:00", "Sandpiper is out on S3"),
        ("2026-05-23", "09:00", "after the charter starts"),
        ("2026-13-40", "09:00", "Back on: wanted a day such as"),
        ("2026-05-29", "9 o'clock", "Back at: wanted a time such as"),
        ("", "", "Back on: wanted a day"),
    ],
)
def test_an_end_that_cannot_be_is_refused_by_name_and_what_was_typed_stays(desk, page, ends_on, back_at, why):
    answer = tap(desk, page("S2"), END, **{"extend-ends_on": ends_on, "extend-back_at": back_at})
    assert answer.status_code == 422
    assert why in said(answer)
    assert sheet_with(answer, END).values["extend-ends_on"] == [ends_on]
    assert (charter("S2").ends_on, charter("S2").back_at) == (date(2026, 5, 30), time(9))
    assert due_list_holds()


def test_another_boat_before_she_goes_out_and_on_the_way(cast, desk, page):
    join(cast, "late guest")
    for code, day in (("S3", "2026-05-30"), ("S2", "2026-05-26")):
        guest = str(cast.boat["late guest"].pk)
        sent = {"other-boat": guest, "other-from_on": day, "other-why": "engine"}
        assert tap(desk, page(code), BOAT, **sent).status_code == 302
        assert charter(code).boat == cast.boat["late guest"]
        assert due_list_holds()


def test_a_boat_that_is_out_is_not_given_and_another_bases_is_not_offered(cast, desk, page):
    sent = {"other-from_on": "2026-05-26", "other-why": "engine"}
    answer = tap(desk, page("S2"), BOAT, **sent | {"other-boat": str(cast.boat["twice shy"].pk)})
    assert answer.status_code == 422
    assert "Twice Shy is out on T1" in said(answer)
    assert sheet_with(answer, BOAT).values["other-why"] == ["engine"]
    answer = tap(desk, page("S2"), BOAT, **sent | {"other-boat": str(cast.boat["far cry"].pk)})
    assert answer.status_code == 422
    assert charter("S2").boat == cast.boat["sandpiper"]


def test_two_charters_whose_times_clash_on_one_day_are_refused(cast, desk, page):
    book(cast, "U", "blank page", "2026-05-30", "2026-06-04", leaves_at=time(8), back_at=time(12))
    cast.charter["B1"].leaves_at = time(11)
    cast.charter["B1"].save()
    sent = {"extend-ends_on": "2026-06-04", "extend-back_at": "12:00"}
    answer = tap(desk, page("U"), END, **sent)
    assert answer.status_code == 422
    assert "Blank Page is out on B1" in said(answer)
    assert tap(desk, page("U"), END, **sent | {"extend-back_at": "10:30"}).status_code == 302


def test_called_off_it_is_gone_from_the_list_and_its_page(cast, desk, page):
    answer = tap(desk, page("S3"), OFF)
    assert "S3: called off" in said(desk.get(answer["Location"]))
    assert charter("S3").cancelled_at is not None
    assert page("S3").status_code == 404
    assert due_list_holds()


@pytest.mark.parametrize("what", ["", "burn", "²"])
def test_nothing_is_done_that_was_not_asked_for(cast, desk, what):
    where = reverse("charter", args=["harbour", cast.charter["S3"].pk])
    assert desk.post(where, {"what": what}).status_code in (200, 422)
    assert charter("S3").cancelled_at is None
