"""A call-out from the first ring to closed, tapped on a telephone; the contract's hours; the week's word."""

from datetime import UTC, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from maintenance.defects.actions import end_defect, report_defect
from maintenance.defects.models import Defect
from maintenance.jobs.clock import Allowed
from maintenance.jobs.contract import contract_clock
from maintenance.jobs.models import CallOut, CallOutStep, Job
from maintenance.jobs.under_way import under_way
from maintenance.spares.facts import hands
from tests.cast import NOW, due_list_holds, more_boats
from tests.doors.sheets import MAIN, said, sheet_with, tap


@pytest.fixture
def defect(cast):
    part = cast.part["sandpiper impeller"]
    return report_defect(cast.boat["sandpiper"], words="No cooling water", component=part, at=NOW)


@pytest.fixture
def new(cast):
    """The page on which a call is taken."""

    def new(browser, boat="sandpiper", **query):
        return browser.get(reverse("new-call-out", args=["harbour", cast.boat[boat].pk]), query)

    return new


@pytest.fixture
def opened(engineer, new, defect):
    """The page of an open call-out."""
    typed = {"where": "Bight of Sand", "phone": "+30 69 1234", "told_at": "2026-05-28T12:30"}
    answer = tap(engineer, new(engineer, defect=defect.pk), "Open the call-out", **typed)
    return engineer.get(answer["Location"])


def again(browser, page):
    return browser.get(page.request["PATH_INFO"])


def test_a_call_is_taken_with_the_defect_ticked_and_her_charter_chosen(cast, defect, opened):
    row = CallOut.objects.get()
    assert (row.charter, row.hours, row.where) == (cast.charter["S2"], 24, "Bight of Sand")
    assert row.told_at == datetime(2026, 5, 28, 9, 30, tzinfo=UTC)
    assert [d.pk for d in under_way(row).defects] == [defect.pk]
    words = said(opened)
    assert "Runs out Fri 12:30, 20 h left" in words
    assert "Nobody promised anything yet" in words
    assert "No cooling water" in words
    assert 'href="tel:+30691234"' in opened.content.decode()


def test_a_call_sent_twice_is_one_call_out(engineer, new):
    page = new(engineer)
    for _ in range(2):
        tap(engineer, page, "Open the call-out", where="A bay", words="Toilet blocked")
    assert CallOut.objects.count() == Defect.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"where": " "}, "Where she lies: wanted"),
        ({"words": ""}, "What is wrong: wanted at least one"),
        ({"told_at": ""}, "Told at: wanted"),
        ({"told_at": "yesterday"}, "Told at: wanted"),
        ({"told_at": "2026-05-28T23:00"}, "Told at: wanted a moment up to now"),
        ({"told_at": "2026-03-29T03:30"}, "Told at: wanted another hour"),  # the clock jumps that night
        ({"charter": "0"}, "Charter: wanted"),
        ({"defects": "0"}, "What is wrong: wanted"),
        ({"where": "x" * 201}, "Where she lies: wanted at most 200"),
    ],
    ids=str,
)
def test_what_is_wrong_with_a_call_is_said_and_nothing_typed_is_lost(cast, engineer, new, typed, why):
    report_defect(cast.boat["sandpiper"], words="Lamp", at=NOW)
    given = {"where": "A bay", "words": "Toilet blocked", "phone": "1"} | typed
    answer = tap(engineer, new(engineer), "Open the call-out", **given)
    assert answer.status_code == 422
    assert why in said(answer)
    sheet = sheet_with(answer, "Open the call-out")
    assert sheet.values["phone"] == ["1"]
    assert sheet.values["where"] == [given["where"]]
    assert not CallOut.objects.exists()


def test_every_step_is_a_tap_and_the_card_says_the_last(cast, engineer, opened):
    promised = {"promised_at": "2026-05-28T18:00", "who": "Ines", "takes": "tools"}
    spare = str(cast.spare["impeller kit"].pk)
    tap(engineer, opened, f"{MAIN}: Promised", **promised, spares=[spare])
    now = under_way(CallOut.objects.get())
    assert now.takes == "tools; impeller kit"
    week = said(engineer.get(reverse("week", args=["harbour"])))
    assert week.count("promised for Thu 18:00, Ines goes") == 2  # on top, and on her card
    tap(engineer, again(engineer, opened), "On the way")
    tap(engineer, again(engineer, opened), "There")
    words = said(again(engineer, opened))
    assert "Ines there since Thu 16:00" in words
    assert [s.step for s in CallOutStep.objects.order_by("pk")] == ["promised", "on the way", "there"]
    for name in ("boats", "call-outs"):
        assert "Ines there since" in said(engineer.get(reverse(name, args=["harbour"])))
    boat = reverse("boat", args=["harbour", cast.boat["sandpiper"].pk])
    assert "Call-out: Ines there since" in said(engineer.get(boat))


def test_done_closes_it_ends_what_was_put_right_and_books_the_parts(cast, engineer, opened, defect):
    kit, store = cast.spare["impeller kit"], cast.place["store"]
    sent = {"put_right": str(defect.pk), "words": "New impeller", "who": "Ines"}
    sent |= {"more0-quantity": "1", "more0-spare": str(kit.pk), "more0-place": str(store.pk)}
    answer = tap(engineer, opened, "Done, close it", **sent)
    assert answer.status_code == 302
    assert not Defect.objects.open().exists()
    assert hands()[kit.pk, store.pk] == 0
    assert "Within the contract's hours" in said(again(engineer, opened))
    assert "Call-outs under way" not in said(engineer.get(reverse("week", args=["harbour"])))
    assert due_list_holds()


def test_parts_are_booked_later_from_the_closed_page(cast, engineer, opened):
    tap(engineer, opened, "Done, close it")
    oil, store = cast.spare["oil"], cast.place["store"]
    sent = {"more0-quantity": "2", "more0-spare": str(oil.pk), "more0-place": str(store.pk)}
    answer = tap(engineer, again(engineer, opened), "Book them", **sent)
    assert "2 oil, Store" in said(engineer.get(answer["Location"]))
    assert hands()[oil.pk, store.pk] == Decimal(18)
    assert tap(engineer, again(engineer, opened), "Book them").status_code == 422
    assert Job.objects.count() == 1


@pytest.mark.parametrize(
    ("button", "typed", "why"),
    [
        (f"{MAIN}: Promised", {"promised_at": ""}, "Promised for: wanted"),
        (f"{MAIN}: Promised", {"promised_at": "2026-05-27T10:00"}, "Promised for: wanted a moment after"),
        (f"{MAIN}: Promised", {"promised_at": "2026-05-29T10:00", "takes": "x" * 501}, "at most 500"),
        (f"{MAIN}: Promised", {"promised_at": "2026-05-29T10:00", "spares": ["0"]}, "In stock: wanted"),
        ("There", {"who": ""}, "Who: wanted a name"),
        ("Done, close it", {"who": " "}, "Who did it: wanted a name"),
        ("Done, close it", {"put_right": "0"}, "Put right: wanted"),
        ("Done, close it", {"more0-quantity": "1"}, "Part: wanted which one"),
        ("Not needed", {"words": ""}, "Why nobody need go: wanted"),
    ],
    ids=str,
)
def test_a_step_that_is_not_right_is_said_and_keeps_what_was_typed(engineer, opened, button, typed, why):
    given = {"words": "In their words"} | typed
    answer = tap(engineer, opened, button, **given)
    assert answer.status_code == 422
    assert why in said(answer)
    if button != "There":
        assert sheet_with(answer, button).values["words"] == [given["words"]]
    assert not CallOutStep.objects.exists()
    assert Defect.objects.open().count() == 1


@pytest.mark.parametrize("what", ["", "fly there", "undo all"])
def test_a_step_nobody_knows_is_not_taken(engineer, opened, what):
    answer = engineer.post(opened.request["PATH_INFO"], {"what": what, "who": "X"})
    assert answer.status_code == 422
    assert not CallOutStep.objects.exists()


def test_closed_on_another_telephone_the_old_page_says_so(engineer, opened):
    tap(engineer, opened, "Not needed", words="They got it going", who="Ben")
    answer = tap(engineer, opened, "There")
    assert answer.status_code == 422
    assert "Ben said “not needed” already" in said(answer)


def test_the_last_step_is_undone_today(engineer, opened):
    tap(engineer, opened, "Not needed", words="They got it going")
    tap(engineer, again(engineer, opened), "Undo the last step")
    assert "Nobody promised anything yet" in said(again(engineer, opened))


def test_the_office_closes_but_puts_nothing_right_and_books_nothing(cast, sign_in, opened, defect):
    office = sign_in("office")
    page = again(office, opened)
    assert "put_right" not in page.content.decode()
    assert "Parts used" not in said(page)
    oil, store = cast.spare["oil"], cast.place["store"]
    part = {"more0-quantity": "2", "more0-spare": str(oil.pk), "more0-place": str(store.pk)}
    tap(office, page, "Done, close it", put_right=str(defect.pk), **part)
    assert under_way(CallOut.objects.get()).closed
    sent = {"what": "parts", "who": "Office"} | part
    assert office.post(opened.request["PATH_INFO"], sent).status_code == 422
    assert Defect.objects.open().count() == 1
    assert not Job.objects.exists()


def test_past_the_contracts_hours_it_says_so(engineer, opened, today_is):
    today_is.move_to(datetime(2026, 5, 29, 11, 0, tzinfo=UTC))
    page = again(engineer, opened)
    assert "Ran out Fri 12:30, 1 h 30 ago: past the contract's hours" in said(page)
    assert "the contract decides" in said(page)


def test_a_defect_of_a_boat_away_leads_out_to_her_and_then_to_the_call_out(cast, engineer, new, defect):
    page = engineer.get(reverse("defect", args=["harbour", defect.pk]))
    assert "Go out to her" in said(page)
    tap(engineer, new(engineer, defect=defect.pk), "Open the call-out", where="A bay")
    assert "To the call-out" in said(engineer.get(reverse("defect", args=["harbour", defect.pk])))
    end_defect(defect, step="put right", who="Ines", at=NOW)
    words = said(engineer.get(reverse("defect", args=["harbour", defect.pk])))
    assert "Go out to her" not in words
    assert "Take the part" not in words
    ashore = report_defect(cast.boat["blank page"], words="Leaks", at=NOW)
    assert "Go out to her" not in said(engineer.get(reverse("defect", args=["harbour", ashore.pk])))


def test_the_calls_are_read_once_a_page_however_many_cards(cast, engineer, opened):
    more_boats(cast, 3)
    with CaptureQueriesContext(connection) as asked:
        engineer.get(reverse("boats", args=["harbour"]))
    rows = [q["sql"] for q in asked if 'FROM "maintenance_calloutdefect"' in q["sql"]]
    assert len(rows) == 1, rows


def test_the_manager_sets_the_contracts_hours_and_goes_back(cast, sign_in):
    manager = sign_in("manager")
    page = manager.get(reverse("contract-clock", args=["harbour"]))
    assert "Charters over 14 days 72" in said(page)
    tap(manager, page, "Save the base's own hours", hours0="12", days1="10", hours1="36")
    assert contract_clock(cast.base) == [Allowed(0, 12), Allowed(10, 36)]
    page = manager.get(reverse("contract-clock", args=["harbour"]))
    assert sheet_with(page, "Save").values["hours1"] == ["36"]
    tap(manager, page, "published terms again")
    assert contract_clock(cast.base) == []


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ({"hours0": ""}, "Hours, row 1: wanted a whole number"),
        ({"hours0": "0"}, "Hours, row 1: wanted a whole number from 1"),
        ({"hours0": "1441"}, "to 1440"),
        ({"hours0": "24", "days1": "7"}, "Hours, row 2: wanted a number beside"),
        ({"hours0": "24", "hours2": "7"}, "Over how many days, row 3: wanted a number beside"),
        ({"hours0": "24", "days1": "7", "hours1": "48", "days2": "7", "hours2": "50"}, "each length"),
        ({"hours0": "24", "days1": "x", "hours1": "48"}, "Over how many days, row 2: wanted a whole"),
    ],
    ids=str,
)
def test_hours_that_cannot_be_are_refused_and_stay_typed(cast, sign_in, typed, why):
    manager = sign_in("manager")
    page = manager.get(reverse("contract-clock", args=["harbour"]))
    answer = tap(manager, page, "Save the base's own hours", **typed)
    assert answer.status_code == 422
    assert why in said(answer)
    assert sheet_with(answer, "Save").values["hours0"] == [typed["hours0"]]
    assert contract_clock(cast.base) == []
