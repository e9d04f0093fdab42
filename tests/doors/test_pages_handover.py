"""The handover's pages: what is missing, what is told, the sheet for paper, the skipper's own page."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from fleet.charters.links import make_link
from fleet.charters.models import Charter
from fleet.papers.actions import keep_paper
from fleet.papers.content import Clean
from maintenance.defects.actions import end_defect, grade_defect, report_defect
from maintenance.defects.deferring import Until, defer_defect
from maintenance.planning.actions import change_boat
from maintenance.release.actions import Name, release_boat
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.models import Handover
from maintenance.turnaround.round import add_item
from maintenance.turnaround.walking import Tick, sign_round, walk
from tests import factories as make
from tests.cast import NOW, TODAY, join
from tests.doors.sheets import said, tap


@pytest.fixture
def ship(cast):
    cast.interval["raft"].critical = False
    cast.interval["raft"].save()
    return cast.boat["twice shy"]


@pytest.fixture
def charter(cast, ship):
    return cast.charter["T2"]


@pytest.fixture
def ready(cast, ship, charter):
    """Inspected, walked with a broken seal, released by one person."""
    file_return(ship, cast.charter["T1"], Report(filed_by="base", day=TODAY, reporter="A. Fitter"), at=NOW)
    seal = add_item(cast.base, words="Seal of the kit box", asks="seal")
    walk(ship, [Tick(seal, "fails")], at=NOW)
    sign_round(ship, who="B. Mate", at=NOW)
    release_boat(ship, charter, [Name("C. Chief")], at=NOW)


@pytest.fixture
def opened(charter, engineer):
    return lambda browser=engineer: browser.get(reverse("handover", args=["harbour", charter.pk]))


@pytest.fixture
def sheet(charter, engineer):
    where = reverse("handover-sheet", args=["harbour", charter.pk])
    return lambda **of: said(engineer.get(where, of))


def damaged(cast, ship):
    picture = keep_paper(Clean(b"scratch", "image/jpeg", None), base=cast.base, at=NOW)
    scratch = report_defect(ship, words="Scratch", at=NOW, hull="port bow", papers=[picture])
    grade_defect(scratch, grade="cosmetic", who="A", at=NOW)
    winch = report_defect(ship, words="Winch slips", at=NOW)
    grade_defect(winch, grade="limits use", who="A", at=NOW)
    defer_defect(winch, Until(charters=1), who="A", limit="Hold the sheet by hand", at=NOW)
    return picture.sha256


def test_the_page_says_what_is_not_done_and_leads_there(opened, ship):
    page = opened()
    assert "Return inspected: not inspected" in said(page)
    assert "Round signed: not signed" in said(page)
    assert "Released: not released" in said(page)
    for name in ("return", "round", "release"):
        assert reverse(name, args=["harbour", ship.pk]) in page.content.decode()


def test_all_the_same_wants_a_reason_and_the_sheet_says_what_was_not_done(engineer, opened, sheet):
    page = tap(engineer, opened(), "all the same", who="A. Fitter")
    assert page.status_code == 422
    assert "Why all the same: wanted why she goes all the same" in said(page)
    page = tap(engineer, page, "all the same", why="One person, seven boats")
    assert page.status_code == 302
    shown = sheet()
    for words in ("Not inspected at return", "Round not signed", "Not released", "One person, seven boats"):
        assert words in shown
    assert shown.count("NOT RECORDED") >= 5  # inspected, round, seal, released, telephone


def test_ready_it_asks_for_a_name_only_and_the_sheet_has_what_it_rests_on(
    cast, engineer, ready, ship, opened, sheet
):
    damaged(cast, ship)
    release_boat(ship, cast.charter["T2"], [Name("C. Chief")], at=NOW)
    page = tap(engineer, opened(), "Hand Twice Shy over")
    assert page.status_code == 302
    shown = sheet()
    assert "Valid for the handover of charter T2" in shown
    assert "Hold the sheet by hand" in shown
    assert "Port bow: Scratch , cosmetic, found 28 May 2026, 1 photo" in shown
    assert "until she is back from this charter" in shown
    assert "B. Mate" in shown
    assert "Seal of the kit box broken" in shown
    assert "C. Chief (looked at it)" in shown
    assert "Records show dates, not condition" in shown
    assert "Printed 28 May 2026, 16:00 by Engineer" in shown
    assert shown.index("Limits") < shown.index("Known damage") < shown.index("Deferred")


def test_released_by_one_person_stands_on_the_sheet(cast, engineer, ready, ship, opened, sheet):
    stay = report_defect(ship, words="Forestay stranded", at=NOW)
    grade_defect(stay, grade="unsafe", who="A", at=NOW)
    end_defect(stay, step="put right", who="A", at=NOW)
    release_boat(ship, cast.charter["T2"], [Name("C. Chief")], at=NOW)
    tap(engineer, opened(), "Hand Twice Shy over")
    assert sheet().count("eleased by one person") == 2


def test_a_held_boat_has_no_form_and_every_way_out(engineer, ready, ship, opened):
    stay = report_defect(ship, words="Forestay stranded", at=NOW)
    grade_defect(stay, grade="unsafe", who="A", at=NOW)
    page = opened()
    assert "Unsafe: Forestay stranded" in said(page)
    assert "let her go to a limit by name" in said(page)
    assert "over all the same" not in said(page)
    sent = engineer.post(page.request["PATH_INFO"], {"who": "A", "why": "x"})
    assert sent.status_code == 422
    assert "Unsafe: Forestay stranded" in said(sent)
    assert not Handover.objects.exists()


def test_what_came_up_while_the_page_was_open_is_read_before_she_goes(engineer, ready, ship, opened):
    page = opened()
    report_defect(ship, words="Fridge hums", at=NOW)
    late = tap(engineer, page, "Hand Twice Shy over")
    assert late.status_code == 422
    assert "changed while this page was open" in said(late)
    assert "Fridge hums" in said(late)
    assert not Handover.objects.exists()
    assert tap(engineer, late, "Hand Twice Shy over").status_code == 302


def test_sent_twice_it_is_one_handover(engineer, ready, opened):
    page = opened()
    for _ in range(2):
        assert tap(engineer, page, "Hand Twice Shy over").status_code == 302
    assert Handover.objects.count() == 1


def test_taken_back_today_and_not_tomorrow(engineer, ready, opened, today_is):
    tap(engineer, opened(), "Hand Twice Shy over")
    tap(engineer, opened(), "take it back")
    assert not Handover.objects.standing().exists()
    tap(engineer, opened(), "Hand Twice Shy over")
    today_is.shift(86400)
    late = engineer.post(opened().request["PATH_INFO"], {"what": "back"})
    assert late.status_code == 409
    assert Handover.objects.standing().exists()


def test_what_came_up_since_she_was_handed_over_is_said(engineer, ready, ship, opened):
    tap(engineer, opened(), "Hand Twice Shy over")
    report_defect(ship, words="Smell of gas in the galley", at=NOW + timedelta(minutes=1))
    assert "Came up since she was handed over" in said(opened())
    assert "ring the skipper" in said(opened())


def test_the_office_reads_it_and_has_no_button(sign_in, ready, opened):
    page = opened(sign_in("office"))
    assert "What the skipper will be told" in said(page)
    assert "Who hands her over" not in said(page)


def test_the_last_afternoon_link_limits_and_sheet_follow_the_boat(cast, engineer, ready, ship, opened, sheet):
    """T2 is handed Twice Shy; her gearbox fails, Late Guest takes the charter: every page says so."""
    join(cast, "late guest")
    sha256 = damaged(cast, ship)
    release_boat(ship, cast.charter["T2"], [Name("C. Chief")], at=NOW)
    secret, phone = make_link(cast.charter["T2"], at=NOW)[1], Client()
    told = reverse("skipper-told", args=[secret])
    assert "Nothing is kept here before" in said(phone.get(told))
    tap(engineer, opened(), "Hand Twice Shy over")
    assert "Hold the sheet by hand" in said(phone.get(told))
    assert reverse("skipper-photo", args=[secret, sha256]) in phone.get(told).content.decode()
    first = Handover.objects.get()
    change_boat(cast.charter["T2"], cast.boat["late guest"], from_on=TODAY + 2 * timedelta(days=1),
                why="gearbox", at=NOW)  # fmt: skip
    said_now = said(phone.get(told))
    assert "Hold the sheet by hand" not in said_now
    assert "Your charter has Late Guest now" in said_now
    week = said(engineer.get(reverse("week", args=["harbour"])))
    assert "Boat changed since the handover: hand over Late Guest" in week
    page = opened()
    assert "Boat changed since the handover: hand over Late Guest" in said(page)
    assert "Not valid any more: the charter has Late Guest now" in sheet(of=first.pk)
    tap(engineer, page, "all the same", why="Last afternoon")
    assert "Told at the handover" in said(phone.get(told))
    assert "What you were told of Late Guest" in said(phone.get(told))
    assert "Handover of Late Guest" in sheet()
    assert Charter.objects.get(code="T2").boat == cast.boat["late guest"]


def test_the_charters_page_says_how_the_handover_stands(cast, sign_in, engineer, ready, opened):
    where = reverse("charter", args=["harbour", cast.charter["T2"].pk])
    assert "Twice Shy is not handed over yet" in said(sign_in("office").get(where))
    tap(engineer, opened(), "Hand Twice Shy over")
    assert "Twice Shy is handed over." in said(sign_in("office").get(where))


def test_the_photo_of_known_damage_opens_to_its_skipper_and_no_other_paper_does(
    cast, engineer, ready, ship, opened
):
    sha256 = damaged(cast, ship)
    other = keep_paper(Clean(b"private", "image/jpeg", None), base=cast.base, at=NOW).sha256
    release_boat(ship, cast.charter["T2"], [Name("C. Chief")], at=NOW)
    secret = make_link(cast.charter["T2"], at=NOW)[1]
    strange = make_link(cast.charter["S3"], at=NOW)[1]
    at = lambda way, name: Client().get(reverse("skipper-photo", args=[way, name])).status_code  # noqa: E731
    assert at(secret, sha256) == 404
    tap(engineer, opened(), "Hand Twice Shy over")
    assert (at(secret, sha256), at(secret, other), at(strange, sha256)) == (200, 404, 404)


def test_the_skippers_front_page_leads_to_what_was_told(cast, today_is):
    secret = make_link(cast.charter["T2"], at=NOW)[1]
    front = Client().get(reverse("skipper", args=[secret])).content.decode()
    assert reverse("skipper-told", args=[secret]) in front


def test_a_sheet_of_another_charters_handover_is_not_found(cast, engineer, ready, opened):
    tap(engineer, opened(), "Hand Twice Shy over")
    where = reverse("handover-sheet", args=["harbour", cast.charter["S3"].pk])
    assert "is not handed over" in said(engineer.get(where))
    assert engineer.get(where, {"of": Handover.objects.get().pk}).status_code == 404
    assert engineer.get(where, {"of": "x"}).status_code == 200


def test_work_and_dates_not_done_are_named_with_links_do_not_stop_it_and_print_for_the_base(
    cast, engineer, ready, ship, opened, sheet
):
    flares = make.ComponentFactory(kind=make.KindFactory(name="Flares", date_required=True))
    make.FittingFactory(component=flares, boat=ship)
    make.PrintedDateFactory(component=flares, state="illegible", good_through=None, as_written="")
    page = opened()
    words = said(page)
    assert "Not done, known when she is handed over" in words
    raft = f"?line={cast.part['twice shy life-raft'].pk}-{cast.interval['raft'].pk}"
    assert raft in page.content.decode()
    assert "Raft , Life raft: due before she is back, Tue 2 Jun 2026" in words
    assert "Flares , expiry: illegible" in words
    assert reverse("component", args=["harbour", flares.pk]) in page.content.decode()
    assert tap(engineer, page, "Hand Twice Shy over").status_code == 302
    row = Handover.objects.get()
    assert row.not_done == []
    assert {job["task"] for job in row.told["open_jobs"]} >= {"Raft", "Flares"}
    assert "Not done, known to the base" in sheet()


def test_what_came_up_or_was_put_right_since_the_release_is_said_with_the_way_to_say_it_anew(
    cast, ready, ship, opened
):
    assert "Since she was released" not in said(opened())
    winch = report_defect(ship, words="Winch slips", at=NOW + timedelta(minutes=1))
    assert "reported: Winch slips" in said(opened())
    end_defect(winch, step="put right", who="A", why="pawl of Sandpiper", at=NOW + timedelta(minutes=2))
    page = opened()
    assert "Since she was released 28 May 2026, 16:00: put right by A: Winch slips: pawl of Sandpiper" in (
        said(page)
    )
    assert f'{reverse("release", args=["harbour", ship.pk])}">Say it anew' in page.content.decode()
