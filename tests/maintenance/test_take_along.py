"""What to take to a boat: which parts fit the thing aboard, what may be used instead, by which number it is
ordered now."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from maintenance.defects.actions import report_defect
from maintenance.defects.facts import open_now
from maintenance.planning.facts import boat_of
from maintenance.planning.take_along import listed_of, take_along
from maintenance.planning.taking import takes
from maintenance.servicing.models import Due, IntervalSpare
from maintenance.spares.actions import count_stock
from maintenance.spares.fits import Fit
from maintenance.spares.keeping import keep_fit, keep_instead
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import SpareFit
from maintenance.spares.stand_ins import parts_for, parts_for_each, stand_ins
from tests import factories as make
from tests.cast import NOW, TODAY

D = Decimal


@pytest.fixture
def impeller(cast):
    return cast.part["sandpiper impeller"]


@pytest.fixture
def kit(cast):
    return cast.spare["impeller kit"]


def plate(component, maker: str = "Norrvik Diesel", model: str = "N4-38", serial: str = "E-2311") -> None:
    component.maker, component.model, component.serial = maker, model, serial
    component.save()


def fits(spare, component, **said) -> SpareFit:
    return keep_fit(SpareFit(spare=spare, kind=component.kind, **said))


def taken(cast, part: str = "sandpiper impeller", interval: str = "replace"):
    due = Due.objects.select_related("component").get(pk=cast.due(part, interval).pk)
    return takes([due], on=TODAY)[due.pk][0]


def test_a_job_says_whether_its_part_fits_the_thing_aboard(cast, kit, impeller):
    assert taken(cast).fit is None  # nothing is said of the part
    fits(kit, impeller, maker="Norrvik Diesel", serial_to="E-2000")
    assert taken(cast).fit is Fit.MAY  # nobody wrote down whose it is
    plate(impeller)
    assert taken(cast).fit is Fit.NO
    plate(impeller, serial="E-1999")
    assert taken(cast).fit is Fit.YES


def test_what_may_be_used_instead_is_told_where_no_place_has_enough_and_where_it_lies(cast, kit):
    count_stock(kit, cast.place["store"], counted=D(0), day=TODAY, at=NOW)
    count_stock(kit, cast.place["sandpiper locker"], counted=D(0), day=TODAY, at=NOW)
    newer, other, nowhere = (make.SpareFactory(code=code) for code in ("newer", "other", "nowhere"))
    kit.superseded_by = newer
    kit.save()
    keep_instead(kit, other, words="the longer one, cut it")
    keep_instead(kit, nowhere)
    for spare in (newer, other):
        make.ReceivedFactory(spare=spare, to_place=cast.place["store"], quantity=D(1))
    found = [(one.spare.code, one.why, str(one.lies[0].place)) for one in taken(cast).instead]
    assert found == [
        ("other", "instead: the longer one, cut it", "Store"),
        ("newer", "its newer number", "Store"),
    ]
    count_stock(kit, cast.place["store"], counted=D(1), day=TODAY, at=NOW)
    assert taken(cast).instead == ()


def test_numbers_stand_in_for_one_another_both_ways_and_the_newest_first(cast):
    first, second, third = (make.SpareFactory(code=code) for code in ("41-1", "41-2", "41-3"))
    first.superseded_by, second.superseded_by = second, third
    first.save()
    second.save()
    found = {
        key: [(one.spare.code, one.why) for one in of]
        for key, of in stand_ins([first.pk, second.pk, third.pk]).items()
    }
    newer, older = "its newer number", "its older number"
    assert found[first.pk] == [("41-3", newer), ("41-2", newer)]
    assert found[second.pk] == [("41-3", newer), ("41-1", older)]
    assert found[third.pk] == [("41-2", older), ("41-1", older)]


def test_what_is_past_its_last_good_day_is_told_apart_and_not_taken(cast, kit):
    for place in ("store", "sandpiper locker"):
        count_stock(kit, cast.place[place], counted=D(0), day=TODAY, at=NOW)
    lot = keep_lot(kit, Marked(expires_on=TODAY - timedelta(1)))
    make.ReceivedFactory(spare=kit, to_place=cast.place["store"], quantity=D(3), lot=lot)
    take = taken(cast)
    assert [(lie.on_hand, lie.good, lie.run_out) for lie in take.lies] == [(3, 0, 3)]
    assert (take.there, take.place) == (False, None)


def test_parts_said_to_fit_come_first_then_those_that_may_then_those_of_its_kind(cast, impeller, kit):
    one, may, no, of_kind = (make.SpareFactory(code=code) for code in ("b yes", "a may", "no", "of its kind"))
    plate(impeller, serial="")
    fits(one, impeller, model="N4-38")
    fits(may, impeller, serial_from="E-1")
    fits(no, impeller, maker="Other")
    of_kind.kind = impeller.kind
    of_kind.save()
    assert [(s.code, w) for s, w in parts_for_each([impeller])[impeller.pk]] == [
        ("b yes", Fit.YES),
        ("a may", Fit.MAY),
        ("of its kind", None),
    ]
    assert [s.code for s, _ in parts_for(impeller)] == ["b yes", "a may"]


def test_a_part_for_any_kind_is_asked_by_maker_and_model(cast, impeller):
    hose = make.SpareFactory(code="hose")
    keep_fit(SpareFit(spare=hose, maker="Norrvik Diesel"))
    plate(impeller)
    assert [s.code for s, _ in parts_for(impeller)] == ["hose"]
    plate(impeller, maker="Other")
    assert parts_for(impeller) == []


def test_the_list_is_what_falls_due_up_to_and_with_her_next_charter(cast):
    listed = listed_of(cast.base, cast.boat["sandpiper"], on=TODAY)
    assert listed.charter == cast.charter["S3"]
    assert all(
        job.due.overdue or job.due.before_handover or job.due.due_on <= cast.charter["S3"].ends_on
        for job in listed.jobs
    )
    assert "change" in [job.due.interval.code for job in listed.jobs]
    assert "replace" not in [job.due.interval.code for job in listed.jobs]  # due in June next year


def test_never_recorded_tasks_stand_apart_and_defects_that_name_nothing_are_left_out(cast):
    ship = cast.boat["blank page"]
    report_defect(ship, words="Smells odd", at=NOW)
    report_defect(ship, words="Drips", at=NOW, component=cast.part["blank page impeller"])
    listed = listed_of(cast.base, ship, on=TODAY)
    assert listed.jobs == ()
    assert listed.never
    assert [defect.words for defect in listed.defects] == ["Drips"]


def test_jobs_on_one_thing_are_added_up_and_two_things_share_what_lies_there(cast):
    ship = cast.boat["twice shy"]
    count_stock(cast.spare["oil"], cast.place["store"], counted=D(6), day=TODAY, at=NOW)
    whole = boat_of(cast.base, ship, TODAY)
    every = [job for job in (*whole.jobs, *whole.never) if job.take]
    assert len(every) == 2  # the oil of either engine
    things = take_along(ship, every, [], on=TODAY)
    lines = [line for one in things for line in one.parts]
    assert [line.asked for line in lines] == [D("4.5"), D("4.5")]
    assert [(line.in_all, line.there, line.short) for line in lines] == [(9, 6, 3)] * 2


def _all_jobs(cast, ship):
    return boat_of(cast.base, ship, TODAY).jobs


def test_a_part_is_ordered_by_its_newest_number(cast, kit):
    newer = make.SpareFactory(code="newer", part_number="0041-8")
    kit.superseded_by = newer
    kit.save()
    ship = cast.boat["sandpiper"]
    jobs = [job for job in _all_jobs(cast, ship) if job.due.interval.code == "replace"]
    (thing,) = take_along(ship, jobs, [], on=TODAY)
    assert (thing.parts[0].take.spare, thing.parts[0].order_as) == (kit, newer)


def test_of_a_defect_nobody_knows_how_many_and_a_jobs_part_is_not_named_twice(cast, impeller, kit):
    ship = cast.boat["sandpiper"]
    seal = make.SpareFactory(code="seal", kind=impeller.kind)
    fits(kit, impeller)
    report_defect(ship, words="Drips", at=NOW, component=impeller)
    defects = open_now(cast.base, [ship.pk], TODAY)
    jobs = [job for job in _all_jobs(cast, ship) if job.due.interval.code == "replace"]
    (thing,) = take_along(ship, jobs, defects, on=TODAY)
    assert [(line.take.spare, line.asked) for line in thing.parts] == [(kit, 1), (seal, None)]
    (alone,) = take_along(ship, [], defects, on=TODAY)
    assert [(line.take.spare, line.asked) for line in alone.parts] == [(kit, None), (seal, None)]
    assert [defect.words for defect in alone.defects] == ["Drips"]


def test_no_more_is_asked_of_the_store_for_many_things_than_for_one(cast, django_assert_num_queries):
    IntervalSpare.objects.create(interval=cast.interval["rig"], spare=cast.spare["gas bottle"], quantity=1)
    ship = cast.boat["sandpiper"]
    jobs = [job for job in _all_jobs(cast, ship) if job.take]
    with CaptureQueriesContext(connection) as one:
        take_along(ship, jobs[:1], [], on=TODAY)
    with django_assert_num_queries(len(one)):
        take_along(ship, jobs, [], on=TODAY)
    assert len(jobs) > 2
