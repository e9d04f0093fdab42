"""A part taken from another boat, in one go: what follows on both boats, and the way back today."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from fleet.boats.models import Fitting, Kind
from maintenance.defects.actions import DefectEnded, end_defect, report_defect
from maintenance.defects.models import Defect
from maintenance.jobs.actions import TooLateToTakeBack
from maintenance.jobs.away import send_away
from maintenance.jobs.models import PartTaken
from maintenance.jobs.part_taken import TakingRefused, Wanted, grade_without, take_back_part, take_part
from maintenance.jobs.refitting import NewPlace, fit_part, remove_part
from maintenance.release.facts import judge
from maintenance.servicing.actions import reforecast
from tests.cast import NOW, TODAY, due_list_holds, read

DAY = timedelta(days=1)


@pytest.fixture
def broken(cast):
    """Blank Page's impeller is torn; Sandpiper has one."""
    part = cast.part["blank page impeller"]
    return report_defect(cast.boat["blank page"], words="No cooling water", component=part, at=NOW)


def take(cast, broken=None, kind="impeller", **more):
    part, settles = cast.part[f"blank page {kind}"], broken
    wanted = Wanted(part, settles)
    given = {"who": "Ines", "wanted": wanted, "at": NOW} | more
    return take_part(cast.part[f"sandpiper {kind}"], cast.boat["blank page"], **given)


def where(cast, part):
    row = Fitting.objects.standing().filter(component=cast.part[part], removed_on__isnull=True).last()
    return row.boat.name if row else "ashore"


def held(cast, boat):
    judged = judge(cast.boat[boat], None, base=cast.base, on=TODAY, now=NOW)
    return judged.standing.verdict, [reason.code for reason in judged.standing.reasons]


def test_the_part_goes_the_broken_one_comes_off_and_both_defects_are_said(cast, broken):
    taken = take(cast, broken)
    assert where(cast, "sandpiper impeller") == "Blank Page"
    assert where(cast, "blank page impeller") == "ashore"
    assert taken.settles_id == broken.pk
    end = broken.steps.get()
    assert (end.step, end.by) == ("put right", "Ines")
    assert "Sandpiper" in end.why
    assert "sandpiper-impeller" in end.why
    lacks = Defect.objects.open().judged().get(boat=cast.boat["sandpiper"])
    assert lacks.words == "Impeller: taken for Blank Page on Thu 28 May 2026"
    assert (lacks.grade, lacks.graded_by) == ("limits use", "Ines")
    assert due_list_holds()


def test_its_hours_and_services_go_along(cast, broken):
    take(cast, broken)
    line = cast.due("sandpiper impeller", "look")
    assert line.boat == cast.boat["blank page"]
    # replaced at the 2025-06-07 service, looked at on 2 May at 1120 of a meter that shows 1190.4 now
    assert line.recorded
    stay = Fitting.objects.standing().get(component=cast.part["sandpiper impeller"], removed_on=None)
    assert stay.meter == cast.meter["blank page main"]


def test_without_a_raft_the_donor_is_held(cast):
    assert held(cast, "sandpiper")[0] != "held"
    take(cast, kind="life-raft")
    verdict, codes = held(cast, "sandpiper")
    assert (verdict, codes) == ("held", ["unsafe"])


@pytest.mark.parametrize(
    ("column", "value"), [("function", "steering"), ("date_required", True), ("name", "Impeller")]
)
def test_what_a_boat_cannot_do_without_is_unsafe_and_the_rest_limits_use(cast, column, value):
    Kind.objects.filter(code="impeller").update(**{column: value})
    kind = Kind.objects.get(code="impeller")
    assert grade_without(kind) == ("limits use" if column == "name" else "unsafe")


def test_a_critical_task_of_the_part_alone_makes_it_unsafe_too(cast, broken):
    part = cast.part["sandpiper impeller"]
    assert grade_without(part.kind, part) == "limits use"
    row = cast.interval["rig"]
    type(row).objects.filter(pk=row.pk).update(critical=True, kind=None, component=part)
    assert grade_without(part.kind, part) == "unsafe"


def test_the_function_of_its_kind_goes_with_the_donors_defect(cast, broken):
    Kind.objects.filter(code="impeller").update(function="charging")
    cast.part["sandpiper impeller"].refresh_from_db()
    take(cast, broken)
    lacks = Defect.objects.open().judged().get(boat=cast.boat["sandpiper"])
    assert (lacks.grade, lacks.function) == ("unsafe", "charging")


def test_a_person_may_grade_it_otherwise(cast, broken):
    take(cast, broken, grade="cosmetic")
    assert Defect.objects.open().judged().get(boat=cast.boat["sandpiper"]).grade == "cosmetic"


def test_a_things_own_name_leaves_no_alarm_that_nobody_looked_at(cast, broken):
    Kind.objects.filter(code="impeller").update(name="Smoke detector")
    for part in ("sandpiper impeller", "blank page impeller"):
        cast.part[part].refresh_from_db()
    take(cast, broken)
    lacks = Defect.objects.get(boat=cast.boat["sandpiper"])
    assert lacks.alarm
    assert not Defect.objects.not_looked_at().filter(pk=lacks.pk).exists()


def test_without_a_defect_and_without_a_broken_one_it_goes_by_its_own_place_and_meter(cast):
    taken = take_part(
        cast.part["sandpiper impeller"], cast.boat["blank page"], who="Ines", at=NOW, wanted=Wanted()
    )
    assert taken.settles_id is None
    assert where(cast, "blank page impeller") == "Blank Page"
    stay = Fitting.objects.standing().get(component=taken.component, removed_on=None)
    assert stay.meter == cast.meter["blank page main"]


def test_it_stands_where_the_broken_one_stood_also_where_that_is_ashore_already(cast, broken):
    part, blank = cast.part["blank page impeller"], cast.boat["blank page"]
    remove_part(part, on=TODAY, at=NOW)
    fit_part(part, NewPlace(blank, cast.meter["blank page main"], "port side"), on=TODAY, at=NOW)
    remove_part(part, on=TODAY, at=NOW)
    take(cast, broken)
    stay = Fitting.objects.standing().get(component=cast.part["sandpiper impeller"], removed_on=None)
    assert (stay.boat, stay.position) == (cast.boat["blank page"], "port side")


def test_sent_twice_it_is_taken_once(cast, broken):
    rows = [take(cast, broken, client_id="t1") for _ in range(2)]
    assert rows[0] == rows[1]
    assert PartTaken.objects.count() == 1
    assert Defect.objects.filter(boat=cast.boat["sandpiper"]).count() == 1


@pytest.mark.parametrize(
    ("more", "field"),
    [({"who": " "}, "who"), ({"grade": "awful"}, "grade")],
)
def test_a_name_and_a_grade_are_wanted_right(cast, broken, more, field):
    with pytest.raises(TakingRefused, match=rf"^{field}: wanted"):
        take(cast, broken, **more)
    untouched(cast)


def test_what_cannot_be_taken_is_refused_and_nothing_is_half_kept(cast, broken):
    blank, part = cast.boat["blank page"], cast.part["sandpiper impeller"]
    oil = Wanted(cast.part["blank page engine-oil"])
    wrong = report_defect(cast.boat["twice shy"], words="Leaks", at=NOW)
    for to, wanted in (
        (cast.boat["sandpiper"], Wanted()),
        (blank, oil),
        (blank, Wanted(settles=wrong)),
    ):
        with pytest.raises(TakingRefused, match="wanted"):
            take_part(part, to, who="Ines", wanted=wanted, at=NOW)
    end_defect(broken, step="no fault found", who="Ben", at=NOW)
    with pytest.raises(DefectEnded):
        take(cast, broken)
    send_away(part, whom="Yard", day=TODAY, at=NOW)
    with pytest.raises(TakingRefused, match=r"^component: wanted"):
        take(cast)
    untouched(cast)


def untouched(cast):
    assert where(cast, "sandpiper impeller") == "Sandpiper"
    assert where(cast, "blank page impeller") == "Blank Page"
    assert not PartTaken.objects.exists()
    assert not Defect.objects.filter(boat=cast.boat["sandpiper"]).exists()


def test_undone_today_everything_is_where_it_was(cast, broken):
    before = cast.due("sandpiper impeller", "look").due_on
    taken = take(cast, broken)
    for _ in range(2):
        take_back_part(taken, at=NOW + timedelta(hours=1))
        taken.refresh_from_db()
    assert where(cast, "sandpiper impeller") == "Sandpiper"
    assert where(cast, "blank page impeller") == "Blank Page"
    assert list(Defect.objects.open()) == [broken]
    assert not PartTaken.objects.standing().exists()
    assert cast.due("sandpiper impeller", "look").due_on == before
    assert due_list_holds()


def test_it_is_not_undone_tomorrow_nor_once_the_donor_has_another(cast, broken):
    taken = take(cast, broken)
    with pytest.raises(TooLateToTakeBack):
        take_back_part(taken, at=NOW + DAY)
    end_defect(taken.lacks, step="put right", who="Ben", at=NOW)
    with pytest.raises(DefectEnded):
        take_back_part(taken, at=NOW)
    assert where(cast, "sandpiper impeller") == "Blank Page"


def test_a_part_keeps_its_hours_over_both_boats(cast, broken):
    """Sandpiper's meter moved 1190.4 - 1120 = 70.4 h since it was looked at: 29.6 of 100 are left."""
    read(cast, "blank page main", "2026-05-20", "400")
    reforecast(on=TODAY)
    take(cast, broken)
    line = cast.due("sandpiper impeller", "look")
    assert (line.hours_now, line.due_hours) == (Decimal(400), Decimal("429.6"))
    assert line.counted_from == date(2026, 5, 2)
