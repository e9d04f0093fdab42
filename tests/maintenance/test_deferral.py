"""What may be deferred, how many at once, once longer; joined reports both kept; nothing deleted."""

from datetime import UTC, date, datetime, timedelta

import pytest

from maintenance.defects.actions import end_defect, grade_defect, report_defect
from maintenance.defects.correcting import JoinRefused, correct_defect, join_defect, part_defect
from maintenance.defects.deferring import (
    DeferralRefused,
    defer_defect,
    extend_deferral,
    take_back_deferral,
    waiting,
)
from maintenance.defects.facts import came_up_of, deferrals_of, earlier, open_now
from maintenance.defects.models import Defect, Deferral
from maintenance.defects.until import Until
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.at_sea import under_way
from tests.cast import NOW, TODAY

WEEK = Until(day=TODAY + timedelta(days=7))


@pytest.fixture
def graded(cast):
    def graded(grade: str = "watch", boat: str = "sandpiper", **more) -> Defect:
        row = report_defect(cast.boat[boat], words="Heads pump leaks", at=NOW, **more)
        grade_defect(row, grade=grade, who="A. Fitter", at=NOW)
        return row

    return graded


def test_what_is_unsafe_or_not_graded_is_not_deferred(cast, graded):
    with pytest.raises(DeferralRefused, match="unsafe defect is not deferred"):
        defer_defect(graded("unsafe"), WEEK, who="A. Fitter", at=NOW)
    bare = report_defect(cast.boat["sandpiper"], words="x", at=NOW)
    with pytest.raises(DeferralRefused, match="grade first"):
        defer_defect(bare, WEEK, who="A. Fitter", at=NOW)
    assert not Deferral.objects.exists()


def test_a_base_lets_so_many_wait_on_one_boat_and_ends_make_room(cast, graded):
    cast.base.deferred_at_once = 2
    cast.base.save()
    rows = [graded() for _ in range(3)]
    for row in rows[:2]:
        defer_defect(row, WEEK, who="A. Fitter", at=NOW)
    with pytest.raises(DeferralRefused, match="has 2 deferred already"):
        defer_defect(rows[2], WEEK, who="A. Fitter", at=NOW)
    defer_defect(graded(boat="twice shy"), WEEK, who="A. Fitter", at=NOW)
    end_defect(rows[0], step="put right", who="A. Fitter", at=NOW)
    defer_defect(rows[2], WEEK, who="A. Fitter", at=NOW)
    assert waiting(cast.boat["sandpiper"].pk) == 2


def test_it_is_extended_once_with_a_reason_and_keeps_its_limit(graded):
    row = defer_defect(graded("limits use"), WEEK, who="A. Fitter", limit="By day only", at=NOW)
    with pytest.raises(DeferralRefused, match="why"):
        extend_deferral(row, Until(charters=2), who="A. Fitter", why=" ", at=NOW)
    longer = extend_deferral(row, Until(charters=2), who="B. Boss", why="Part not here", at=NOW)
    assert (longer.limit_text, longer.max_charters, longer.extends) == ("By day only", 2, row)
    for each in (row, longer):
        with pytest.raises(DeferralRefused, match="once already"):
            extend_deferral(each, WEEK, who="B. Boss", why="Again", at=NOW)


def test_an_extension_taken_back_leaves_the_deferral_which_may_be_extended_again(graded):
    defect = graded()
    row = defer_defect(defect, WEEK, who="A. Fitter", at=NOW)
    take_back_deferral(extend_deferral(row, Until(charters=2), who="A. Fitter", why="Part", at=NOW), at=NOW)
    assert deferrals_of([defect.case])[defect.case] == row
    extend_deferral(row, Until(charters=3), who="A. Fitter", why="Part", at=NOW)
    assert deferrals_of([defect.case])[defect.case].max_charters == 3
    assert Deferral.objects.count() == 5, "every row that ever stood is still there"


def test_a_deferral_taken_back_waits_no_more_and_may_be_decided_anew(graded):
    defect = graded()
    take_back_deferral(defer_defect(defect, WEEK, who="A. Fitter", at=NOW), at=NOW)
    assert deferrals_of([defect.case]) == {}
    assert defer_defect(defect, Until(layup=True), who="A. Fitter", at=NOW).at_layup


def test_what_would_be_dangerous_to_use_says_how_it_was_made_inoperative(graded):
    defect = graded("limits use")
    given = {"who": "A. Fitter", "limit": "No shore power", "dangerous": True, "at": NOW}
    with pytest.raises(DeferralRefused, match="made_inoperative"):
        defer_defect(defect, WEEK, **given)
    assert defer_defect(defect, WEEK, inoperative="Inlet taped over", **given).made_inoperative


def test_a_charter_that_went_out_uses_one_up(cast, graded):
    """Decided on Thursday while she is out; she goes out on Saturday: from Sunday on one is gone."""
    defer_defect(graded(), Until(charters=1), who="A. Fitter", at=NOW)
    left = [
        open_now(cast.base, [cast.boat["sandpiper"].pk], on)[0].waits.charters_left
        for on in (TODAY, date(2026, 5, 30), date(2026, 5, 31))
    ]
    assert left == [1, 1, 0]


def test_joined_reports_are_both_kept_and_parted_again_they_are_open_both(cast, graded):
    main, double = graded(), report_defect(cast.boat["sandpiper"], words="Heads smell", at=NOW)
    joined = join_defect(double, main, at=NOW)
    assert list(Defect.objects.open()) == [main]
    assert set(Defect.objects.standing()) == {main, joined}
    assert joined.words == "Heads smell"
    part_defect(joined, at=NOW)
    assert {d.case for d in Defect.objects.open()} == {main.case, double.case}
    assert Defect.objects.count() == 4, "main, double, joined, parted: nothing is deleted"


def test_what_is_joined_to_nothing_is_not_parted_and_boats_are_not_mixed(cast, graded):
    with pytest.raises(JoinRefused):
        part_defect(graded(), at=NOW)
    with pytest.raises(JoinRefused, match="same boat"):
        join_defect(graded(), graded(boat="twice shy"), at=NOW)


def test_what_is_said_to_be_elsewhere_keeps_its_grade_and_its_deferral(cast, graded):
    defect = graded()
    defer_defect(defect, WEEK, who="A. Fitter", at=NOW)
    row = correct_defect(defect, at=NOW, hull="bow")
    [shown] = open_now(cast.base, [row.boat_id], TODAY)
    assert (shown.pk, shown.grade, shown.waits.until_on) == (row.pk, "watch", WEEK.day)


def test_the_same_thing_twice_comes_up_again_and_another_thing_does_not(cast):
    boat, part = cast.boat["sandpiper"], cast.part["sandpiper impeller"]
    for days, component in ((40, part), (20, part), (0, part)):
        report_defect(boat, words="Weak jet", component=component, at=NOW - timedelta(days=days))
    last = report_defect(boat, words="Oil low", component=cast.part["sandpiper engine-oil"], at=NOW)
    third = Defect.objects.order_by("found_at").filter(component=part).last()
    came = came_up_of(cast.base, [boat.pk])[boat.pk]
    assert len(earlier(third, came)) == 1
    assert earlier(last, came) == []


def test_a_boat_is_under_way_from_her_hour_of_leaving_until_she_is_told_to_be_back(cast):
    boat, base = cast.boat["sandpiper"], cast.base
    assert under_way(boat, base, NOW) == cast.charter["S2"]
    saturday = NOW + timedelta(days=2)  # 16:00 at the base: S2 is back since 9, S3 leaves at 17
    assert under_way(boat, base, saturday) is None
    assert under_way(boat, base, saturday + timedelta(hours=2)) == cast.charter["S3"]
    file_return(boat, cast.charter["S2"], Report(filed_by="base", day=TODAY), at=NOW)
    assert under_way(boat, base, NOW) is None


def test_a_day_is_the_bases_own_where_a_defect_was_found_and_comes_up_again(cast):
    """Half past ten in the evening by Greenwich is the next day at the base."""
    boat, part = cast.boat["sandpiper"], cast.part["sandpiper impeller"]
    late = datetime(2026, 4, 27, 22, 30, tzinfo=UTC)
    report_defect(boat, words="Weak jet", component=part, at=late)
    report_defect(boat, words="Weak jet", component=part, at=NOW - timedelta(days=0))
    first, second = open_now(cast.base, [boat.pk], TODAY)
    assert first.found_on == date(2026, 4, 28)
    assert len(second.again) == 1, "thirty days before Thursday 28 May by the base's clock"
