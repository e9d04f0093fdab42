"""The handover: when it opens, who opens it all the same, what is frozen, a boat changed under a charter."""

import json
from datetime import timedelta

import pytest

from fleet.charters.models import Charter
from fleet.ledger import LedgerIsAppendOnly
from fleet.papers.actions import keep_paper
from fleet.papers.content import Clean
from maintenance.defects.actions import end_defect, grade_defect, look_at, report_defect
from maintenance.defects.deferring import Until, defer_defect
from maintenance.defects.models import Defect
from maintenance.jobs.actions import TooLateToTakeBack
from maintenance.pages.told import told_said
from maintenance.planning.actions import cancel_charter, change_boat, extend_charter
from maintenance.release.actions import Name, hold_boat, release_boat, say_held
from maintenance.release.facts import judge
from maintenance.spares.sealing import seal_kit
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.facts import handed_before, handover_of
from maintenance.turnaround.handing_over import (
    NOT_INSPECTED,
    NOT_RELEASED,
    NOT_SIGNED,
    HandedOver,
    HandoverRefused,
    hand_over,
    readiness_of,
    take_back_handover,
)
from maintenance.turnaround.models import Handover
from maintenance.turnaround.round import add_item
from maintenance.turnaround.walking import Tick, sign_round, walk
from tests.cast import NOW, TODAY, join

DAY = timedelta(days=1)
LATER = NOW + timedelta(minutes=5)
WHO = {"who": "A. Fitter", "at": NOW}


@pytest.fixture
def ship(cast):
    """Twice Shy, back today from T1, leaves on Saturday for T2; her raft does not matter here."""
    cast.interval["raft"].critical = False
    cast.interval["raft"].save()
    cast.check = add_item(cast.base, words="Bilge dry", function="bilge")
    cast.seal = add_item(cast.base, words="Seal of the kit box", asks="seal")
    return cast.boat["twice shy"]


def inspected(cast, boat="twice shy", charter="T1", day=TODAY):
    said = Report(filed_by="base", day=day, reporter="S. Skipper")
    by = cast.person["engineer"]
    file_return(cast.boat[boat], cast.charter[charter], said, at=NOW, by=by)


def walked(cast, boat="twice shy", seal="in order", at=NOW):
    ship = cast.boat[boat]
    walk(ship, [Tick(cast.check, "in order"), Tick(cast.seal, seal)], at=at)
    sign_round(ship, who="B. Mate", at=at)


def released(cast, boat="twice shy", charter="T2", **more):
    charter = Charter.objects.get(code=charter)
    names = [Name("C. Chief"), Name("D. Other")]
    return release_boat(cast.boat[boat], charter, names, at=NOW, **more)


def given(cast, boat="twice shy", charter="T2", **more) -> Handover:
    return hand_over(cast.boat[boat], Charter.objects.get(code=charter), **(WHO | more))


def ready(cast, boat="twice shy", charter="T2"):
    inspected(cast, boat)
    walked(cast, boat)
    released(cast, boat, charter)


def found(ship, words, grade="", at=NOW, **more) -> Defect:
    defect = report_defect(ship, words=words, at=at, **more)
    if grade:
        grade_defect(defect, grade=grade, who="A. Fitter", at=at)
    return defect


def test_it_opens_when_she_was_inspected_walked_and_released(cast, ship):
    ready(cast)
    row = given(cast)
    assert (row.not_done, row.why, row.release.verdict) == ([], "", "fit")
    assert handover_of(row.charter) == row


@pytest.mark.parametrize(
    ("done", "missing"),
    [
        ((walked, released), [NOT_INSPECTED]),
        ((inspected, released), [NOT_SIGNED]),
        ((inspected, walked), [NOT_RELEASED]),
        ((), [NOT_INSPECTED, NOT_SIGNED, NOT_RELEASED]),
    ],
)
def test_without_one_of_them_only_by_name_with_a_reason_and_it_is_kept_which(cast, ship, done, missing):
    for act in done:
        act(cast)
    with pytest.raises(HandoverRefused, match="why: wanted .*" + ", ".join(missing)):
        given(cast)
    row = given(cast, why="One person, seven boats")
    assert row.not_done == missing
    assert row.why == "One person, seven boats"


def test_the_skippers_own_return_is_no_inspection(cast, ship):
    said = Report(filed_by="skipper", day=TODAY)
    file_return(ship, cast.charter["T1"], said, at=NOW)
    assert NOT_INSPECTED in readiness_of(ship, cast.charter["T2"], base=cast.base, at=NOW).not_done


def test_a_boat_that_never_went_out_needs_no_return(cast, ship):
    found = readiness_of(cast.boat["blank page"], cast.charter["B1"], base=cast.base, at=NOW)
    assert NOT_INSPECTED not in found.not_done


def test_a_name_is_wanted(cast, ship):
    ready(cast)
    with pytest.raises(HandoverRefused, match="who: wanted"):
        given(cast, who=" ")


def test_an_alarm_nobody_looked_at_stops_it_whatever_reason_is_given(cast, ship):
    ready(cast)
    defect = found(ship, "Smell of gas in the galley", "cosmetic", at=LATER)
    with pytest.raises(HandoverRefused, match=r"held: An alarm nobody has looked at.*Go and look"):
        given(cast, why="The skipper is waiting")
    look_at(defect, who="A. Fitter", seen="An open bottle of thinner", nothing=True, at=LATER)
    assert given(cast, why="The release fell").not_done == [NOT_RELEASED]


def test_an_unsafe_defect_stops_it_until_it_is_let_be_by_name(cast, ship):
    inspected(cast)
    walked(cast)
    found(ship, "Forestay stranded", "unsafe")
    with pytest.raises(HandoverRefused, match="held: Unsafe: Forestay stranded"):
        given(cast, why="It is only a week")
    key = judge(ship, cast.charter["T2"], base=cast.base, on=TODAY, now=NOW).standing.reasons[0].key
    limits = {"limits": "No genoa, motor only", "why": "Rigger comes on Monday"}
    released(cast, let_be=[key], **limits)
    row = given(cast)
    assert row.told["limits"] == ["No genoa, motor only"]
    assert row.told["released"]["let_be"] == ["Unsafe: Forestay stranded"]
    assert row.told["open"][0]["grade"] == "unsafe"


def test_what_was_put_right_and_not_released_since_is_not_released(cast, ship):
    ready(cast)
    defect = found(ship, "Forestay stranded", "unsafe", at=LATER)
    end_defect(defect, step="put right", who="A. Fitter", at=NOW)
    assert given(cast, why="Alone here").not_done == [NOT_RELEASED]


def test_a_hold_by_name_and_a_word_that_she_is_held_stop_it(cast, ship):
    ready(cast)
    say_held(ship, cast.charter["T2"], Name("C. Chief"), why="Owner rings first", at=NOW)
    with pytest.raises(HandoverRefused, match="Owner rings first"):
        given(cast, why="x")
    released(cast)
    hold_boat(ship, why="Bent stanchion", who="C. Chief", at=NOW)
    with pytest.raises(HandoverRefused, match=r"Bent stanchion.*Lift it"):
        given(cast, why="x")


def test_a_charter_not_hers_called_off_over_or_not_her_next_is_refused(cast, ship):
    for boat, code, said in (
        ("twice shy", "S3", "has Sandpiper now"),
        ("twice shy", "T1", "is over"),
        ("sandpiper", "S4", "wanted S3"),
    ):
        with pytest.raises(HandoverRefused, match=f"charter: .*{said}"):
            given(cast, boat, code, why="x")
    cancel_charter(cast.charter["T2"], at=NOW)
    with pytest.raises(HandoverRefused, match="called off"):
        given(cast, why="x")


def test_once_a_boat_and_charter_and_sent_twice_it_is_one(cast, ship):
    ready(cast)
    one = given(cast, client_id="a")
    assert given(cast, client_id="a") == one
    with pytest.raises(HandedOver, match=r"already, by A\. Fitter"):
        given(cast, client_id="b")


def test_taken_back_today_it_can_be_done_again_and_tomorrow_it_cannot(cast, ship):
    ready(cast)
    take_back_handover(given(cast), at=NOW)
    assert handover_of(cast.charter["T2"]) is None
    row = given(cast)
    with pytest.raises(TooLateToTakeBack):
        take_back_handover(row, at=NOW + DAY)


def test_it_freezes_limits_known_damage_with_photos_deferred_things_and_what_is_not_graded(cast, ship):
    picture = keep_paper(Clean(b"scratch", "image/jpeg", None), base=cast.base, at=NOW)
    found(ship, "Scratch at the waterline", "cosmetic", hull="port bow", papers=[picture])
    winch = found(ship, "Winch slips", "limits use")
    told = {"limit": "Hold the port genoa sheet by hand", "inoperative": "Drum taped"}
    defer_defect(winch, Until(charters=1), who="A. Fitter", at=NOW, **told)
    found(ship, "Fridge hums")
    type(cast.base).objects.filter(pk=cast.base.pk).update(phone="+30 210 555 0101")
    ready(cast)
    told = given(cast).told
    assert told["limits"] == ["Hold the port genoa sheet by hand. Made inoperative: Drum taped."]
    assert [(d["place"], d["words"], d["photos"]) for d in told["damage"]] == [
        ("port bow", "Scratch at the waterline", [picture.sha256])
    ]
    assert told["damage"][0]["found_on"] == "2026-05-28"
    assert [(d["words"], d["until"]) for d in told["deferred"]] == [
        ("Winch slips", "until she is back from this charter")
    ]
    assert [(d["words"], d["grade"]) for d in told["open"]] == [("Fridge hums", "")]
    assert told["phone"] == "+30 210 555 0101"


def test_it_freezes_who_released_who_walked_and_how_the_seal_was(cast, ship):
    inspected(cast)
    walked(cast, seal="fails")
    release_boat(ship, cast.charter["T2"], [Name("C. Chief")], at=NOW)
    told = given(cast).told
    assert [n["name"] for n in told["released"]["by"]] == ["C. Chief"]
    assert told["round"]["by"] == "B. Mate"
    assert told["seal"] == "broken"
    assert told["inspected"]["by"] == cast.person["engineer"].name  # who recorded it, not who told it


@pytest.mark.parametrize(
    ("found", "number", "again", "shown"),
    [
        ("in order", "004512", "", "intact, number 004512"),
        ("in order", "", "", "intact"),
        ("fails", "004512", "", "broken"),  # that number is the broken one's
        ("fails", "004512", "004513", "found broken; sealed again, number 004513"),
        ("not aboard", "004512", "", "no box"),
    ],
)
def test_the_seal_is_told_with_the_number_somebody_saw(cast, ship, found, number, again, shown):
    inspected(cast)
    if number:
        seal_kit(ship, number=number, day=TODAY, at=NOW - timedelta(hours=2))
    walked(cast, seal=found, at=NOW - timedelta(hours=1))
    if again:
        seal_kit(ship, number=again, day=TODAY, at=NOW)
    release_boat(ship, cast.charter["T2"], [Name("C. Chief")], at=NOW)
    row = given(cast)
    assert told_said(row.told, "UTC")["seal"] == shown
    seal_kit(ship, number="004599", day=TODAY, at=NOW)
    row.refresh_from_db()
    assert told_said(row.told, "UTC")["seal"] == shown  # what was told stays as it was


def test_a_handover_told_before_seals_had_numbers_still_reads():
    assert told_said({"seal": "intact"}, "UTC")["seal"] == "intact"
    assert told_said({"seal": ""}, "UTC")["seal"] == "NOT RECORDED"
    assert told_said({}, "UTC")["seal"] == "NOT RECORDED"


def test_released_by_one_person_is_told_where_two_are_wanted(cast, ship):
    inspected(cast)
    walked(cast)
    defect = found(ship, "Forestay stranded", "unsafe")
    end_defect(defect, step="put right", who="A. Fitter", at=NOW)
    release_boat(ship, cast.charter["T2"], [Name("A. Fitter")], at=NOW)
    assert given(cast).told["released"]["by_one_person"] is True


def test_the_row_does_not_change_when_the_facts_do(cast, ship):
    found(ship, "Fridge hums")
    ready(cast)
    row = given(cast)
    before = json.dumps(row.told, sort_keys=True)
    end_defect(Defect.objects.get(words="Fridge hums"), step="put right", who="A", at=NOW)
    found(ship, "Anchor light out", "limits use")
    again = Handover.objects.get(pk=row.pk)
    assert json.dumps(again.told, sort_keys=True) == before
    with pytest.raises(LedgerIsAppendOnly):
        Handover.objects.filter(pk=row.pk).update(by="X")


def test_a_boat_changed_on_the_last_afternoon_is_handed_over_anew(cast, ship, now):
    """Saturday: Twice Shy is handed over for T2, her gearbox fails, and a sister ship takes the charter."""
    join(cast, "late guest")
    ready(cast)
    found(ship, "Teak plug missing", "cosmetic", hull="deck")
    first = given(cast)
    saturday = NOW + 2 * DAY
    change_boat(
        cast.charter["T2"],
        cast.boat["late guest"],
        from_on=saturday.date(),
        why="gearbox",
        at=saturday,
    )
    charter = Charter.objects.get(code="T2")
    assert handover_of(charter) is None
    assert handed_before(charter) == [first]
    with pytest.raises(HandoverRefused, match="has Late Guest now, not Twice Shy"):
        hand_over(ship, charter, who="A", why="x", at=saturday)
    second = hand_over(cast.boat["late guest"], charter, who="A", why="last afternoon", at=saturday)
    assert second.not_done == [NOT_SIGNED, NOT_RELEASED]
    assert second.told["damage"] == []
    assert second.told["boat"] == "Late Guest"
    assert handover_of(charter) == second


def test_the_boat_that_was_given_back_stays_ready_for_nobody_elses_charter(cast, ship):
    """A round and a release for one boat do not stand for the boat that takes her place."""
    join(cast, "late guest")
    ready(cast)
    change_boat(cast.charter["T2"], cast.boat["late guest"], from_on=TODAY + 2 * DAY, why="gearbox", at=NOW)
    charter = Charter.objects.get(code="T2")
    found = readiness_of(cast.boat["late guest"], charter, base=cast.base, at=NOW)
    assert found.not_done == (NOT_SIGNED, NOT_RELEASED)


def test_a_deferral_that_would_end_at_sea_stops_it(cast, ship):
    ready(cast)
    winch = found(ship, "Winch slips", "limits use")
    defer_defect(winch, Until(day=TODAY + 5 * DAY), who="A", limit="By hand", at=NOW)
    with pytest.raises(HandoverRefused, match="Its deferral ends before she is back"):
        given(cast, why="x")


def test_a_charter_made_longer_after_the_handover_leaves_what_was_told(cast, ship):
    ready(cast)
    row = given(cast)
    extend_charter(cast.charter["T2"], ends_on=TODAY + 12 * DAY, at=NOW)
    assert handover_of(Charter.objects.get(code="T2")) == row


def test_handed_over_late_the_charter_before_is_still_the_one_she_is_back_from(cast, ship):
    """A skipper who comes on Sunday for Saturday's charter: T1 is what was to be inspected, not T2."""
    sunday = NOW + 3 * DAY
    inspected(cast)
    walked(cast)
    found = readiness_of(ship, cast.charter["T2"], base=cast.base, at=sunday)
    assert found.turn.last.code == "T1"
    assert found.not_done == (NOT_RELEASED,)
