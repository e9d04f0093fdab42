"""The round of a turnaround: walked in parts, what fails a defect once, signed when all is answered."""

from datetime import date, timedelta

import pytest

from fleet.ledger import latest
from maintenance.defects.actions import end_defect, grade_defect
from maintenance.defects.models import Defect
from maintenance.defects.rules import FUNCTIONS
from maintenance.jobs.actions import TooLateToTakeBack
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.facts import function_noted, round_of, turn_of
from maintenance.turnaround.models import Round, RoundItem, RoundLine
from maintenance.turnaround.round import (
    RoundRefused,
    add_item,
    change_item,
    items_of,
    move_item,
    start_with_usual,
)
from maintenance.turnaround.usual_round import USUAL_ROUND
from maintenance.turnaround.walking import Tick, lines_of, sign_round, take_back_round, walk
from tests.cast import NOW, TODAY, due_list_holds

DAY = timedelta(days=1)


@pytest.fixture
def ship(cast):
    """Twice Shy, back today from T1, leaves on Saturday for T2."""
    return cast.boat["twice shy"]


@pytest.fixture
def check(cast):
    """Three checks of the base's own: a bilge, a light, the seal of the kit box."""
    bilge = add_item(cast.base, words="Bilge dry", function="bilge")
    light = add_item(cast.base, words="Anchor light")
    seal = add_item(cast.base, words="Seal of the kit box", asks="seal")
    return {"bilge": bilge, "light": light, "seal": seal}


def all_good(ship, check, *, at=NOW, who="A. Fitter") -> Round:
    walk(ship, [Tick(item, "in order") for item in check.values()], at=at)
    return sign_round(ship, who=who, at=at)


def open_words(ship) -> list[str]:
    return [d.words for d in Defect.objects.open().filter(boat=ship)]


def test_the_usual_list_names_only_functions_that_hold_boats_and_one_seal():
    assert {u.function for u in USUAL_ROUND} - {""} <= set(FUNCTIONS)
    assert [u.words for u in USUAL_ROUND if u.asks == "seal"] == ["Seal of the kit box"]
    assert max(len(u.words) for u in USUAL_ROUND) <= 200
    assert max(len(u.caution) for u in USUAL_ROUND) <= 300


def test_what_can_hurt_somebody_has_its_caution():
    """Common practice, no source: gas, fumes and carbon monoxide, a running engine, the raft's painter."""
    cautions = {u.words: u.caution for u in USUAL_ROUND}
    for word in ("Gas", "exhaust", "Carbon monoxide", "raft", "windlass"):
        assert all(caution for words, caution in cautions.items() if word in words), word


def test_a_base_begins_with_the_usual_list_and_once_only(cast):
    start_with_usual(cast.base)
    start_with_usual(cast.base)
    assert RoundItem.objects.filter(base=cast.base).count() == len(USUAL_ROUND)


def test_a_base_that_has_checks_of_its_own_keeps_them(cast, check):
    start_with_usual(cast.base)
    assert RoundItem.objects.filter(base=cast.base).count() == 3


def test_beginning_a_round_where_there_is_no_list_yet_copies_the_usual_one(cast, ship):
    walk(ship, [], at=NOW)
    assert [i.words for i in items_of(ship, cast.base, TODAY)] == [u.words for u in USUAL_ROUND]


def test_a_check_of_a_class_of_boat_is_asked_of_that_class_only(cast, ship):
    cast.boat["sandpiper"].design = "Sorrel 36"
    add_item(cast.base, words="Both rudders", design="Sorrel 36")
    assert items_of(ship, cast.base, TODAY) == []
    assert [i.words for i in items_of(cast.boat["sandpiper"], cast.base, TODAY)] == ["Both rudders"]


def test_a_check_is_asked_up_to_its_last_day_and_stays_in_the_book(cast, ship, check):
    change_item(check["light"], words="Anchor light", until_on=TODAY)
    assert "Anchor light" in [i.words for i in items_of(ship, cast.base, TODAY)]
    assert "Anchor light" not in [i.words for i in items_of(ship, cast.base, TODAY + DAY)]
    assert RoundItem.objects.filter(pk=check["light"].pk).exists()


def test_checks_are_walked_in_the_order_they_were_moved_to(cast, ship, check):
    move_item(check["seal"], earlier=True)
    move_item(check["bilge"], earlier=True)
    assert [i.words for i in items_of(ship, cast.base, TODAY)] == [
        "Bilge dry",
        "Seal of the kit box",
        "Anchor light",
    ]


@pytest.mark.parametrize(
    ("given", "field"), [({"words": " "}, "words"), ({"words": "x", "function": "tea"}, "function")]
)
def test_a_check_without_words_or_with_a_made_up_function_is_refused(cast, given, field):
    with pytest.raises(RoundRefused) as refused:
        add_item(cast.base, **given)
    assert refused.value.field == field


def test_a_half_walked_round_is_kept_and_two_people_walk_one(cast, ship, check):
    one = walk(ship, [Tick(check["bilge"], "in order")], at=NOW, by=cast.person["engineer"])
    two = walk(ship, [Tick(check["light"], "not aboard")], at=NOW + DAY / 24, by=cast.person["manager"])
    assert one.round == two.round
    lines = lines_of(two.round)
    assert [(line.words, line.recorded_by.login) for line in lines.values()] == [
        ("Bilge dry", "engineer"),
        ("Anchor light", "manager"),
    ]
    assert round_of(ship, TODAY) is None


def test_what_fails_becomes_one_defect_at_once_however_often_it_is_sent(ship, check):
    for _ in range(3):
        walk(ship, [Tick(check["bilge"], "fails", "a cup under the pump")], at=NOW)
    assert open_words(ship) == ["Round: Bilge dry: a cup under the pump"]
    assert RoundLine.objects.count() == 1
    assert due_list_holds()


def test_a_line_put_back_in_order_takes_its_defect_back(ship, check):
    walk(ship, [Tick(check["bilge"], "fails")], at=NOW)
    walked = walk(ship, [Tick(check["bilge"], "in order")], at=NOW)
    assert open_words(ship) == []
    assert walked.stays == ()
    walk(ship, [Tick(check["bilge"], "fails", "again")], at=NOW)
    assert open_words(ship) == ["Round: Bilge dry: again"]


def test_a_note_told_better_says_the_defect_better_and_there_is_still_one(ship, check):
    walk(ship, [Tick(check["bilge"], "fails")], at=NOW)
    walk(ship, [Tick(check["bilge"], "fails", "smoke from the pump")], at=NOW)
    assert open_words(ship) == ["Round: Bilge dry: smoke from the pump"]
    assert Defect.objects.not_looked_at().get().alarm == "smoke"


def test_a_defect_somebody_graded_stays_though_the_line_is_in_order_now(ship, check):
    walk(ship, [Tick(check["bilge"], "fails")], at=NOW)
    graded = Defect.objects.open().get(boat=ship)
    grade_defect(graded, grade="unsafe", who="A. Fitter", at=NOW)
    walked = walk(ship, [Tick(check["bilge"], "in order")], at=NOW)
    assert walked.stays == (graded,)
    assert open_words(ship) == ["Round: Bilge dry"]


def test_a_defect_of_yesterday_stays_though_the_line_is_in_order_now(ship, check):
    walk(ship, [Tick(check["bilge"], "fails")], at=NOW)
    assert walk(ship, [Tick(check["bilge"], "in order")], at=NOW + DAY).stays
    assert open_words(ship) == ["Round: Bilge dry"]


def test_what_was_put_right_stays_put_right_and_its_line_is_in_order(ship, check):
    walk(ship, [Tick(check["bilge"], "fails")], at=NOW)
    defect = Defect.objects.open().get(boat=ship)
    end_defect(defect, step="put right", who="A. Fitter", at=NOW)
    assert walk(ship, [Tick(check["bilge"], "in order")], at=NOW).stays == ()
    assert not latest(defect).void


def test_a_defect_knows_what_its_check_touches_for_when_it_is_graded(ship, check):
    walk(ship, [Tick(check["bilge"], "fails"), Tick(check["light"], "fails")], at=NOW)
    noted = {d.words: function_noted(d.case) for d in Defect.objects.open().filter(boat=ship)}
    assert noted == {"Round: Bilge dry": "bilge", "Round: Anchor light": ""}


def test_a_defect_names_the_one_thing_aboard_its_check_touches(cast, ship):
    part = cast.part["twice shy life-raft"]
    part.kind.function = "raft"
    part.kind.save()
    item = add_item(cast.base, words="Raft lashed", function="raft")
    walk(ship, [Tick(item, "fails")], at=NOW)
    defect = Defect.objects.open().judged().get(boat=ship)
    assert (defect.component, defect.function) == (part, "raft")


def test_a_broken_seal_is_no_defect(ship, check):
    walk(ship, [Tick(check["seal"], "fails")], at=NOW)
    assert open_words(ship) == []


def test_what_somebody_else_said_meanwhile_is_not_written_over(ship, check):
    walk(ship, [Tick(check["bilge"], "fails", "wet")], at=NOW)
    blank = Tick(check["bilge"], "in order", seen=("", ""))
    walked = walk(ship, [blank, Tick(check["light"], "in order", seen=("", ""))], at=NOW)
    assert walked.clashed == (check["bilge"],)
    assert {line.words: line.state for line in lines_of(walked.round).values()} == {
        "Bilge dry": "fails",
        "Anchor light": "in order",
    }


def test_signing_wants_every_check_answered_and_names_those_that_are_not(ship, check):
    walk(ship, [Tick(check["bilge"], "in order")], at=NOW)
    with pytest.raises(RoundRefused, match=r"lines: .*Anchor light; Seal of the kit box"):
        sign_round(ship, who="A. Fitter", at=NOW)


def test_signing_wants_a_name(ship, check):
    walk(ship, [Tick(item, "in order") for item in check.values()], at=NOW)
    with pytest.raises(RoundRefused, match="who: wanted"):
        sign_round(ship, who="  ", at=NOW)


def test_a_round_nobody_began_is_not_signed(ship, check):
    with pytest.raises(RoundRefused, match="Bilge dry"):
        sign_round(ship, who="A. Fitter", at=NOW)


def test_a_signed_round_counts_and_is_not_ticked_any_more(ship, check):
    all_good(ship, check)
    assert round_of(ship, TODAY).signed_by == "A. Fitter"
    with pytest.raises(RoundRefused, match="signed"):
        walk(ship, [Tick(check["bilge"], "fails")], at=NOW)
    with pytest.raises(RoundRefused, match="signed already"):
        sign_round(ship, who="B. Mate", at=NOW)


def test_a_round_signed_days_ago_is_walked_anew_and_counts_till_the_new_one_is_signed(ship, check):
    first = all_good(ship, check)
    later = NOW + DAY
    walk(ship, [Tick(item, "in order") for item in check.values()], at=later, anew=True)
    assert round_of(ship, TODAY + DAY) == first
    sign_round(ship, who="B. Mate", at=later)
    assert round_of(ship, TODAY + DAY).signed_by == "B. Mate"


def test_a_signature_taken_back_leaves_the_round_to_be_walked_on(ship, check):
    signed = all_good(ship, check)
    take_back_round(signed, at=NOW)
    assert round_of(ship, TODAY) is None
    assert len(lines_of(turn_of(ship, TODAY).begun)) == 3
    assert sign_round(ship, who="B. Mate", at=NOW).signed_by == "B. Mate"


def test_a_round_taken_back_before_it_is_signed_takes_its_defects_along(ship, check):
    walked = walk(ship, [Tick(check["bilge"], "fails")], at=NOW).round
    take_back_round(walked, at=NOW)
    assert open_words(ship) == []
    assert turn_of(ship, TODAY).begun is None


def test_a_round_of_another_day_is_not_taken_back(ship, check):
    signed = all_good(ship, check)
    with pytest.raises(TooLateToTakeBack):
        take_back_round(signed, at=NOW + DAY)


def test_a_round_counts_from_the_day_her_last_charter_ended_and_not_from_before(cast, ship, check):
    """T1 ended on 28 May: what was signed on the 27th was of another turnaround."""
    all_good(ship, check, at=NOW - DAY)
    assert round_of(ship, TODAY - DAY) is not None
    assert round_of(ship, TODAY) is None
    all_good(ship, check, at=NOW)
    assert round_of(ship, TODAY) is not None
    assert round_of(ship, TODAY + 2 * DAY) is not None


def test_a_boat_back_before_her_day_is_walked_that_day(cast, check):
    """Sandpiper's S2 ends on the 30th; the base checks her out on the 28th, and she leaves on the 30th."""
    ship = cast.boat["sandpiper"]
    file_return(ship, cast.charter["S2"], Report(filed_by="base", day=TODAY), at=NOW)
    all_good(ship, check)
    assert round_of(ship, date(2026, 5, 30), cast.charter["S3"]) is not None


def test_an_earlier_turnarounds_half_walked_round_is_not_walked_on(ship, check):
    old = walk(ship, [Tick(check["bilge"], "in order")], at=NOW - DAY).round
    new = walk(ship, [Tick(check["light"], "in order")], at=NOW).round
    assert old != new
    assert len(lines_of(new)) == 1


def test_a_check_of_another_base_is_none_of_hers(cast, ship, check):
    elsewhere = cast.person["stranger"].memberships.get().base
    far = add_item(elsewhere, words="Far thing")
    with pytest.raises(RoundRefused, match="no check of this boat"):
        walk(ship, [Tick(far, "in order")], at=NOW)
    assert not Round.objects.exists()


@pytest.mark.parametrize("tick", [{"state": "perhaps"}, {"state": "fails", "note": "x" * 301}])
def test_a_tick_that_is_none_is_refused_whole(ship, check, tick):
    with pytest.raises(RoundRefused, match="Anchor light"):
        walk(ship, [Tick(check["bilge"], "in order"), Tick(check["light"], **tick)], at=NOW)
    assert not RoundLine.objects.exists()
