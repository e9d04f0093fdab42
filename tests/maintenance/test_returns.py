"""The return: one action, kept whole or not at all, never refused because of a number."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from fleet.charters.models import CharterBoat
from fleet.meters.models import Reading
from maintenance.defects.models import Defect
from maintenance.planning.actions import change_boat
from maintenance.servicing.models import Due
from maintenance.spares.actions import SpareUsed
from maintenance.spares.models import StockMove
from maintenance.turnaround.actions import DialRead, Report, ReturnRefused, file_return
from maintenance.turnaround.facts import returned_charters
from maintenance.turnaround.models import Return
from maintenance.turnaround.questions import QUESTIONS
from tests.cast import TODAY, due_list_holds

ANSWERS = {"touched_bottom": True, "gas_or_fumes_smelled": False}


@pytest.fixture
def back(cast, now):
    """Files what is said of Sandpiper coming back from S2."""

    def back(boat="sandpiper", charter="S2", dials=None, new_meters=(), client_id=None, **said) -> Return:
        given = (dials or {}).items()
        read = [DialRead(cast.meter[m], Decimal(d), new_meter=m in new_meters) for m, d in given]
        report = Report(**{"filed_by": "base", "day": TODAY, "dials": read} | said)
        return file_return(
            cast.boat[boat],
            cast.charter[charter] if charter else None,
            report,
            at=now,
            by=cast.person["engineer"],
            client_id=client_id,
        )

    return back


def everything(cast) -> dict:
    return {
        "dials": {"sandpiper main": "1250"},
        "defects": ["Heads pump leaks", "Reading light out"],
        "lost": ["Winch handle"],
        "used": [SpareUsed(cast.spare["gas bottle"], cast.place["store"], Decimal(1))],
        "answers": ANSWERS,
        "reporter": "A. Skipper",
    }


def test_all_of_a_return_is_kept_together(cast, back):
    filed = back(**everything(cast))
    assert filed.readings.get().reading.dial == 1250
    words = [link.defect.words for link in filed.defects.order_by("pk")]
    assert words[:3] == ["Heads pump leaks", "Reading light out", "Winch handle"]
    assert filed.moves.get().move.quantity == 1
    assert filed.recorded_by == cast.person["engineer"]
    assert due_list_holds()


def test_a_yes_opens_a_defect_and_what_nobody_answered_is_kept_as_not_answered(back):
    filed = back(answers=ANSWERS)
    assert [(d.defect.words, d.defect.asked) for d in filed.defects.all()] == [
        ("Touched the bottom or hit something, as said at the return", "question")
    ]
    assert set(filed.answers) == {q.code for q in QUESTIONS}
    assert (filed.answers["gas_or_fumes_smelled"], filed.answers["water_in_bilge"]) == (False, None)


def test_the_answer_says_which_due_days_moved_and_by_how_much(cast, back):
    before = {due.pk: due.due_on for due in Due.objects.filter(boat=cast.boat["sandpiper"])}
    was = cast.due("sandpiper engine-oil", "change").due_on
    followed = back(dials={"sandpiper main": "1250"}).followed
    oil = cast.due("sandpiper engine-oil", "change")
    moved = {m["task"]: m for m in followed["moved"]}
    assert moved["Change"] == {
        "boat": "Sandpiper",
        "thing": "Engine oil",
        "task": "Change",
        "before": was.isoformat(),
        "after": oil.due_on.isoformat(),
        "days": (oil.due_on - was).days,
    }
    assert (oil.due_on, oil.basis) == (TODAY, "reached")
    assert len(before) > len(moved)  # the raft did not move


def test_a_return_that_changes_no_day_says_that_none_moved(back):
    assert back(defects=["Scratch on the table"]).followed["moved"] == []


@pytest.mark.parametrize("dial", ["119", "12500", "-5", "1190.39", "999999999.99"])
def test_a_dial_that_cannot_be_right_is_kept_as_doubtful_and_moves_no_day(cast, back, dial):
    before = list(Due.objects.order_by("component", "interval").values_list("due_on", "hours_now"))
    filed = back(dials={"sandpiper main": dial}, defects=["Heads pump leaks"])
    reading = filed.readings.get().reading
    assert (reading.standing, filed.followed["doubtful"]) == ("doubtful", [reading.pk])
    assert filed.followed["moved"] == []
    assert filed.defects.count() == 1
    assert list(Due.objects.order_by("component", "interval").values_list("due_on", "hours_now")) == before
    assert due_list_holds()


def test_one_doubtful_dial_does_not_hold_up_the_other_engine(cast, back):
    back("twice shy", "T1", {"twice shy port": "99", "twice shy starboard": "2360"})
    assert cast.due("twice shy starboard engine-oil", "change").hours_now == 2360
    assert cast.due("twice shy port engine-oil", "change").hours_now == 1802
    assert due_list_holds()


def test_a_first_reading_of_a_meter_nobody_read_is_used(cast, back):
    back("blank page", None, {"blank page main": "812.5"})
    assert cast.due("blank page engine-oil", "change").hours_now == Decimal("812.5")
    assert due_list_holds()


def test_a_new_meter_starts_again_and_the_total_carries_on(cast, back):
    back(dials={"sandpiper main": "3"}, new_meters=("sandpiper main",))
    assert cast.due("sandpiper engine-oil", "change").hours_now == Decimal("1190.4")
    assert due_list_holds()


def test_a_spare_the_book_does_not_have_is_recorded_and_goes_below_zero(cast, back):
    used = [SpareUsed(cast.spare["oil"], cast.place["sandpiper locker"], Decimal("4.5"))]
    followed = back(used=used).followed
    assert followed["to_count"] == [
        {"spare": cast.spare["oil"].pk, "place": cast.place["sandpiper locker"].pk}
    ]


def test_spares_below_their_allowance_are_said(cast, back):
    used = [SpareUsed(cast.spare["gas bottle"], cast.place["store"], Decimal(1))]
    assert back(used=used).followed["short"] == [
        {
            "spare": cast.spare["gas bottle"].pk,
            "place": cast.place["store"].pk,
            "on_hand": "2.000",
            "allowance": "3.000",
        }
    ]


def test_the_same_return_sent_three_times_is_kept_once(cast, back):
    said = everything(cast)
    first = back(client_id="pontoon-1", **said)
    assert back(client_id="pontoon-1", **said) == first
    assert back(client_id="pontoon-1", **said | {"dials": {"sandpiper main": "1260"}}) == first
    assert Return.objects.count() == 1
    assert Defect.objects.count() == 4
    assert StockMove.objects.filter(why="used").count() == 1


def test_two_returns_without_an_id_are_two(back):
    assert back(defects=["Heads pump leaks"]) != back(defects=["Heads pump leaks"])
    assert Defect.objects.count() == 2


def test_the_skippers_own_report_adds_to_the_bases(cast, back):
    back(dials={"sandpiper main": "1215"}, defects=["Heads pump leaks"])
    second = back(dials={"sandpiper main": "1215"}, defects=["Bilge pump runs"], filed_by="skipper")
    assert [d.defect.words for d in second.defects.all()] == ["Bilge pump runs"]
    assert cast.due("sandpiper engine-oil", "change").hours_now == 1215
    assert returned_charters([cast.boat["sandpiper"].pk]) == {cast.charter["S2"].pk}


def test_a_doubtful_dial_said_twice_is_to_be_settled_once(back):
    back(dials={"sandpiper main": "121"})
    back(dials={"sandpiper main": "121"}, filed_by="skipper")
    assert Reading.objects.standing().filter(standing="doubtful", dial=121).count() == 1


def test_a_boat_without_a_charter_is_taken_back_all_the_same(back):
    assert back(charter=None, defects=["Drifted off her mooring"]).charter is None


WRONG = {
    "a day to come": ({"day": TODAY + timedelta(days=1)}, "day: wanted a day up to today"),
    "a day before she went out": ({"day": date(2026, 5, 22)}, "day: wanted a day from Sat 23 May 2026"),
    "another's charter": ({"charter": "T1"}, "charter: T1 did not have Sandpiper"),
    "another's meter": ({"dials": {"twice shy port": "1900"}}, "port is not a meter of Sandpiper"),
    "no such question": ({"answers": {"sunk": True}}, "answers: found sunk; wanted touched_bottom"),
}


@pytest.mark.parametrize(("said", "why"), WRONG.values(), ids=WRONG)
def test_what_is_wrong_in_another_way_is_named_and_nothing_is_kept(cast, back, said, why):
    with pytest.raises(ReturnRefused, match=why):
        back(**everything(cast) | said)
    assert not Return.objects.exists()
    assert not Defect.objects.exists()


def test_how_many_were_used_is_above_nothing(cast, back):
    with pytest.raises(ReturnRefused, match="wanted how many of gas bottle, above 0"):
        back(used=[SpareUsed(cast.spare["gas bottle"], cast.place["store"], Decimal(0))])


def test_a_fault_half_way_keeps_nothing_at_all(cast, back):
    said = everything(cast) | {"defects": ["Heads pump leaks", ""]}
    before = (Reading.objects.count(), StockMove.objects.count())
    with pytest.raises(ValidationError, match="blank"):
        back(**said)
    assert (Return.objects.count(), Defect.objects.count()) == (0, 0)
    assert (Reading.objects.count(), StockMove.objects.count()) == before
    assert due_list_holds()


def test_a_boat_changed_on_the_way_is_taken_back_from_the_charter_she_had(cast, back, now):
    change_boat(cast.charter["S2"], cast.boat["blank page"], from_on=date(2026, 5, 26), why="engine", at=now)
    back("sandpiper", "S2")
    assert returned_charters([cast.boat["sandpiper"].pk, cast.boat["blank page"].pk]) == set()
    back("blank page", "S2")
    assert returned_charters([cast.boat["blank page"].pk]) == {cast.charter["S2"].pk}


def test_a_boat_a_charter_was_to_have_and_never_got_is_not_taken_back_from_it(cast, back, now):
    change_boat(cast.charter["S2"], cast.boat["blank page"], from_on=date(2026, 5, 26), why="engine", at=now)
    change_boat(cast.charter["S2"], cast.boat["sandpiper"], from_on=date(2026, 5, 26), why="mended", at=now)
    assert CharterBoat.objects.filter(boat=cast.boat["blank page"]).exists()
    with pytest.raises(ReturnRefused, match="S2 did not have Blank Page"):
        back("blank page", "S2")
