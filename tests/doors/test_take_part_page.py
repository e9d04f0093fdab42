"""The part from another boat: which ship has one, one tap, what followed on both, the way back."""

from datetime import date

import pytest
from django.urls import reverse

from fleet.boats.models import Component, Fitting
from fleet.charters.models import Charter
from maintenance.defects.actions import end_defect, report_defect
from maintenance.defects.models import Defect
from maintenance.jobs.away import send_away
from maintenance.jobs.models import PartTaken
from maintenance.release.actions import hold_boat
from maintenance.spares.models import Spare
from tests import factories as make
from tests.cast import NOW, TODAY, Cast, due_list_holds, fit, join
from tests.doors.sheets import said, sheet_with, sheets, tap

TAKE = "Take it from Twice Shy"


@pytest.fixture
def raft(cast: Cast) -> Defect:
    """Blank Page's raft is no good; Twice Shy lies in port with one, Sandpiper is out."""
    part = cast.part["blank page life-raft"]
    return report_defect(cast.boat["blank page"], words="Raft box cracked", component=part, at=NOW)


def page_of(browser, defect, **query):
    return browser.get(reverse("take-part", args=["harbour", defect.pk]), query)


def where(part: Component) -> str:
    stay = Fitting.objects.standing().filter(component=part, removed_on=None).last()
    return stay.boat.name if stay else "ashore"


def second(cast, boat):
    """Another raft aboard, in another place."""
    part = make.ComponentFactory(code=f"{boat}-2", kind=cast.interval["raft"].kind)
    make.FittingFactory(component=part, boat=cast.boat[boat], position="second")


def test_those_in_port_have_a_button_and_those_out_only_a_day(engineer, raft):
    page = page_of(engineer, raft)
    assert [b[2] for s in sheets(page) for b in s.buttons if "Take it" in b[2]] == [
        f"the main button: {TAKE}"
    ]
    words = said(page)
    assert "Sandpiper , out until Sat 30 May" in words
    assert "In port, leaves Sat 30 May 17:00" in words
    assert "printed date good through Tue 2 Jun" in words
    assert "Without it she gets a defect, unsafe" in words


def test_one_tap_takes_it_and_says_what_follows_on_both_boats(cast, engineer, raft):
    answer = tap(engineer, page_of(engineer, raft), TAKE)
    assert answer.status_code == 302
    words = said(engineer.get(answer["Location"]))
    assert "Life raft taken from Twice Shy for Blank Page" in words
    assert "came off" in words
    assert "Life raft: taken for Blank Page on Thu 28 May 2026" in words
    assert "Graded unsafe by Engineer" in words
    assert "Held, leaves Sat 30 May" in words
    assert where(cast.part["twice shy life-raft"]) == "Blank Page"
    assert where(cast.part["blank page life-raft"]) == "ashore"
    assert [d.boat.name for d in Defect.objects.open()] == ["Twice Shy"]
    assert due_list_holds()


def test_tapped_twice_it_is_one_and_leads_to_the_same_answer(engineer, raft):
    page = page_of(engineer, raft)
    answers = [tap(engineer, page, TAKE)["Location"] for _ in range(2)]
    assert PartTaken.objects.count() == 1
    assert answers[0] == reverse("part-taken", args=["harbour", PartTaken.objects.get().pk])
    assert answers[1] in (answers[0], reverse("defect", args=["harbour", raft.pk]))


def test_all_of_it_is_undone_today(cast, engineer, raft):
    answer = engineer.get(tap(engineer, page_of(engineer, raft), TAKE)["Location"])
    back = tap(engineer, answer, "Undo all of it")
    assert "Undone" in said(engineer.get(back["Location"]))
    assert where(cast.part["twice shy life-raft"]) == "Twice Shy"
    assert where(cast.part["blank page life-raft"]) == "Blank Page"
    assert list(Defect.objects.open()) == [raft]
    assert due_list_holds()


def test_what_rests_on_it_is_not_undone_whole(engineer, raft):
    answer = engineer.get(tap(engineer, page_of(engineer, raft), TAKE)["Location"])
    end_defect(PartTaken.objects.get().lacks, step="put right", who="Ben", at=NOW)
    back = tap(engineer, answer, "Undo all of it")
    assert back.status_code == 409
    assert "Too late to undo the whole" in said(back)


def test_the_defect_may_stay_open_and_the_grade_be_anothers(engineer, raft):
    page = page_of(engineer, raft)
    tap(engineer, page, TAKE, put_right=[], grade="watch", who="Ines")
    grades = {d.boat.name: d.grade for d in Defect.objects.open().judged()}
    assert grades == {"Blank Page": "", "Twice Shy": "watch"}


@pytest.mark.parametrize(
    ("typed", "why"),
    [({"who": " "}, "Who takes it: wanted a name"), ({"grade": "awful"}, "How bad it is: wanted")],
)
def test_what_is_not_right_is_said_and_nothing_is_taken(engineer, raft, typed, why):
    answer = tap(engineer, page_of(engineer, raft), TAKE, **{"who": "Ines"} | typed)
    assert answer.status_code == 422
    assert why in said(answer)
    assert sheet_with(answer, TAKE).values["who"] == [typed.get("who", "Ines")]
    assert not PartTaken.objects.exists()


@pytest.mark.parametrize("of", ["sandpiper life-raft", "far cry engine-oil", "blank page life-raft", None])
def test_no_part_but_one_of_the_list_in_port_is_taken(cast, engineer, raft, of):
    part = "" if of is None else str(cast.part[of].pk)
    where_to = reverse("take-part", args=["harbour", raft.pk])
    answer = engineer.post(where_to, {"who": "Ines", "component": part})
    assert answer.status_code == 422
    assert "Part: wanted a tap on one of the boats in port" in said(answer)
    assert not PartTaken.objects.exists()


def test_what_is_away_for_service_is_not_offered(cast, engineer, raft):
    send_away(cast.part["twice shy life-raft"], whom="Yard", day=TODAY, at=NOW)
    page = page_of(engineer, raft)
    assert "No sister ship in port has one on record" in said(page)


def test_the_same_make_comes_first_and_then_who_leaves_last(cast, engineer, raft):
    for name in ("early", "late", "same"):
        join(cast, name)
        fit(cast, name, "life-raft", None)
    for name, day in (("early", 29), ("late", 31), ("same", 29)):
        days = {"starts_on": date(2026, 5, day), "ends_on": date(2026, 6, 7)}
        Charter.objects.create(code=name, boat=cast.boat[name], **days)
    for name in ("blank page", "same"):
        Component.objects.filter(pk=cast.part[f"{name} life-raft"].pk).update(maker="Tern", model="R6")
    buttons = [b[2] for s in sheets(page_of(engineer, raft)) for b in s.buttons]
    taken = [b.partition("Take it from ")[2] for b in buttons if "Take it" in b]
    assert taken == ["Same", "Late", "Twice Shy", "Early"]


def test_words_that_name_no_part_ask_which_one_first(cast, engineer):
    row = report_defect(cast.boat["blank page"], words="Raft box cracked", at=NOW)
    page = page_of(engineer, row)
    part = cast.part["blank page life-raft"]
    assert "Which part is broken?" in said(page)
    assert f"?thing={part.pk}" in page.content.decode()
    tap(engineer, page_of(engineer, row, thing=part.pk), TAKE)
    assert where(part) == "ashore"
    assert PartTaken.objects.get().settles_id == row.pk


@pytest.mark.parametrize("thing", ["other", "-1", "9" * 30, "far cry"])
def test_a_part_that_is_not_hers_asks_again(cast, engineer, raft, thing):
    thing = cast.part["far cry engine-oil"].pk if thing == "far cry" else thing
    assert "Which part is broken?" in said(page_of(engineer, raft, thing=thing))


def test_a_defect_that_has_ended_needs_no_part(engineer, raft):
    end_defect(raft, step="put right", who="Ben", at=NOW)
    assert page_of(engineer, raft).status_code == 302


def test_a_like_part_is_a_card_and_another_sort_is_folded_never_the_main_button(cast, engineer, raft):
    for name, place in (("hand", "by the helm"), ("alike", "")):
        join(cast, name)
        fit(cast, name, "life-raft", None, position=place)
        days = {"starts_on": date(2026, 5, 31), "ends_on": date(2026, 6, 7)}
        Charter.objects.create(code=name, boat=cast.boat[name], **days)
    second(cast, "twice shy")
    page = page_of(engineer, raft)
    first, folded = page.content.decode().split("Another sort of life raft")
    assert "Take it from Hand" not in first
    assert "Take it from Hand, by the helm" in folded
    assert 'class="main" name="component"' not in folded
    assert first.count("Take it from Twice Shy") == folded.count("Take it from Twice Shy") == 1


def test_a_boat_that_is_out_is_named_once(cast, engineer, raft):
    second(cast, "sandpiper")
    assert said(page_of(engineer, raft)).count("Sandpiper , out until") == 1


def test_the_answer_says_what_is_to_be_ordered_where_the_base_keeps_such_spares(cast, engineer, raft):
    answer = engineer.get(tap(engineer, page_of(engineer, raft), TAKE)["Location"])
    assert "Order or repair one" not in said(answer)
    Spare.objects.create(code="raft-new", name="raft", kind=cast.interval["raft"].kind)
    words = said(engineer.get(answer.request["PATH_INFO"]))
    assert "Order or repair one: Blank Page's is broken and the store has 0 raft" in words
    assert "Life raft of Twice Shy is fitted" in words


def test_what_holds_the_other_boat_reads_as_one_sentence(cast, engineer, raft):
    hold_boat(cast.boat["twice shy"], why="T2 needs another boat.", who="Ilda", at=NOW)
    words = said(page_of(engineer, raft))
    assert "held already: by Ilda: T2 needs another boat. " in words
    assert "boat.." not in words
    card = said(engineer.get(reverse("week", args=["harbour"])))
    assert "Held : by Ilda: T2 needs another boat." in card
    assert "Held by Ilda" not in card
