"""Readings in doubt: asked about before they are kept, settled after."""

from datetime import date
from decimal import Decimal

import pytest

from fleet.meters.actions import ReadingGoesBackwards, record_reading
from fleet.meters.models import Reading
from fleet.meters.rules import Dial
from maintenance.turnaround.doubts import (
    doubtful,
    doubts_of,
    doubts_to_settle,
    earlier_reading,
    put_aside,
    settle,
)
from tests.cast import TODAY, due_list_holds, read


def asked(cast, boat: str, **hours: str):
    """What is asked when a return gives these dials today, by meter."""
    given = {cast.meter[f"{boat} {meter}"]: Dial(TODAY, Decimal(dial)) for meter, dial in hours.items()}
    return doubts_of(cast.boat[boat], given, on=TODAY)


def offered(doubts) -> list[tuple[Decimal, str]]:
    return [(m.hours, m.slip) for doubt in doubts.doubts for m in doubt.meant]


def test_nothing_is_asked_where_all_can_be_right(cast):
    assert not asked(cast, "twice shy", port="1820", starboard="2360")
    assert not asked(cast, "blank page", main="812")


def test_a_missing_digit_is_offered_back(cast):
    # 1190.4 h on the 23rd and about 3.4 h a charter day: some 1207 h today
    assert (Decimal(1207), "a digit missing") in offered(asked(cast, "sandpiper", main="120"))


def test_tenths_read_as_units_are_offered_back(cast):
    assert (Decimal("1204.60"), "tenths read as units") in offered(asked(cast, "sandpiper", main="12046"))


def test_two_engines_swapped_are_offered_back(cast):
    doubts = asked(cast, "twice shy", port="2360.5", starboard="1820")
    assert [m.name for m in doubts.swapped] == ["port", "starboard"]


def test_one_wrong_engine_is_not_called_a_swap(cast):
    assert asked(cast, "twice shy", port="18", starboard="2360").swapped is None


def test_a_doubt_shows_the_dials_around_it_and_which_way_it_is_wrong(cast):
    low, high = (asked(cast, "sandpiper", main=dial).doubts[0] for dial in ("119", "9999"))
    assert (low.before.hours, low.after) == (Decimal("1190.4"), None)
    assert low.runs_backwards
    assert not high.runs_backwards


def test_no_number_is_too_strange_to_be_asked_about(cast):
    for dial in ("-5", "0", "999999999.99", "0.01"):
        assert asked(cast, "sandpiper", main=dial)


@pytest.fixture
def port(cast) -> Reading:
    """Twice Shy's port engine, read as 181 h on 24 May where 1802 h stood on the 21st."""
    return doubtful([cast.boat["twice shy"].pk])[0]


def test_doubtful_readings_wait_the_oldest_first_and_each_once(cast, port, now):
    record_reading(cast.meter["sandpiper main"], day=date(2026, 5, 23), dial=Decimal(5), at=now)
    boats = [cast.boat["sandpiper"].pk, cast.boat["twice shy"].pk]
    assert [r.dial for r in doubtful(boats)] == [5, 181]
    assert doubtful([cast.boat["blank page"].pk]) == []


def test_what_was_probably_meant_is_offered_where_it_is_settled_too(port):
    ((reading, doubt),) = doubts_to_settle([port], on=TODAY)
    assert reading == port
    assert doubt.before.hours == 1802
    assert Decimal(1811) in [m.hours for m in doubt.meant]


def test_every_answer_offered_settles_it(cast, port, now):
    ((_, doubt),) = doubts_to_settle([port], on=TODAY)
    settle(port, at=now, dial=doubt.meant[0].hours)
    assert doubtful([cast.boat["twice shy"].pk]) == []
    assert due_list_holds()


def test_a_settled_reading_moves_the_days_that_follow_and_says_which(cast, now):
    wrong = record_reading(cast.meter["sandpiper main"], day=TODAY, dial=Decimal(125), at=now)
    moved = settle(wrong, at=now, dial=Decimal(1250))
    assert ("Engine oil", "Change", TODAY) in [(m.thing, m.task, m.after) for m in moved]
    assert cast.due("sandpiper engine-oil", "change").hours_now == 1250
    assert due_list_holds()


def test_a_reading_is_settled_as_a_new_meters_first(cast, port, now):
    settle(port, at=now, new_meter=True)
    assert cast.due("twice shy port engine-oil", "change").hours_now == 1802
    assert due_list_holds()


def test_a_reading_that_still_cannot_be_stays_in_doubt(cast, port, now):
    with pytest.raises(ReadingGoesBackwards, match="12 h on"):
        settle(port, at=now, dial=Decimal(12))
    assert doubtful([cast.boat["twice shy"].pk]) == [port]
    assert due_list_holds()


def test_a_reading_set_aside_waits_no_more_and_moves_nothing(cast, port, now):
    assert put_aside(port, at=now) == []
    assert doubtful([cast.boat["twice shy"].pk]) == []
    assert cast.due("twice shy port engine-oil", "change").hours_now == 1802
    assert due_list_holds()


def test_the_one_before_may_be_the_wrong_one(cast, now):
    too_high = read(cast, "sandpiper main", "2026-05-25", "1230")
    right = record_reading(cast.meter["sandpiper main"], day=TODAY, dial=Decimal(1207), at=now)
    assert right.standing == "doubtful"
    assert earlier_reading(right) == too_high
    settle(right, at=now, instead_of=earlier_reading(right))
    assert cast.due("sandpiper engine-oil", "change").hours_now == 1207
    assert due_list_holds()


def test_a_reading_in_doubt_stops_being_so_only_once_settled(cast, port, now):
    record_reading(cast.meter["twice shy port"], day=TODAY, dial=Decimal(1830), at=now)
    assert doubtful([cast.boat["twice shy"].pk]) == [port]


def test_settling_asks_no_more_of_the_store_for_many_than_for_one(
    cast, port, now, django_assert_num_queries, django_assert_max_num_queries
):
    with django_assert_max_num_queries(50) as one:
        doubts_to_settle([port], on=TODAY)
    for n in range(5):
        record_reading(cast.meter["sandpiper main"], day=TODAY, dial=Decimal(n), at=now)
    waiting = doubtful([cast.boat[name].pk for name in ("sandpiper", "twice shy")])
    with django_assert_num_queries(len(one)):
        doubts_to_settle(waiting, on=TODAY)
