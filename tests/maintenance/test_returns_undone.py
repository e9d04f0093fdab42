"""The ways back from a return: within the day, by rows that take back, each thing or all of it."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from fleet.meters.models import Reading
from maintenance.defects.hull import Touch
from maintenance.defects.models import Defect
from maintenance.jobs.actions import TooLateToTakeBack
from maintenance.servicing.models import Due
from maintenance.spares.actions import SpareUsed
from maintenance.spares.facts import hands
from maintenance.spares.models import StockMove
from maintenance.turnaround.actions import (
    DialRead,
    Report,
    ReturnRefused,
    file_return,
    take_back_part,
    take_back_return,
)
from maintenance.turnaround.doubts import settle
from maintenance.turnaround.facts import returned_charters
from maintenance.turnaround.models import Return
from maintenance.turnaround.questions import TOUCHED
from tests.cast import TODAY, due_list_holds


def report(cast, dial: str = "1250", **said) -> Report:
    return Report(
        filed_by="base",
        day=TODAY,
        dials=[DialRead(cast.meter["sandpiper main"], Decimal(dial))],
        defects=["Heads pump leaks"],
        used=[SpareUsed(cast.spare["gas bottle"], cast.place["store"], Decimal(1))],
        **said,
    )


@pytest.fixture
def filed(cast, now) -> Return:
    return file_return(
        cast.boat["sandpiper"], cast.charter["S2"], report(cast), at=now, client_id="pontoon-1"
    )


def lines() -> list[tuple]:
    return list(Due.objects.order_by("component", "interval").values_list("due_on", "hours_now", "limit_on"))


def gas(cast) -> Decimal:
    return hands()[cast.spare["gas bottle"].pk, cast.place["store"].pk]


def test_a_return_taken_back_leaves_all_as_it_was_before(cast, now):
    before = lines()
    filed = file_return(cast.boat["sandpiper"], cast.charter["S2"], report(cast), at=now)
    assert lines() != before
    take_back_return(filed, at=now)
    assert lines() == before
    assert not Defect.objects.open().exists()
    assert gas(cast) == 3
    assert returned_charters([cast.boat["sandpiper"].pk]) == set()
    assert due_list_holds()


def test_what_was_taken_back_stays_on_the_record_with_who_did_it(cast, filed, now):
    last = take_back_return(filed, at=now + timedelta(hours=1), by=cast.person["engineer"])
    assert last.void
    assert last.recorded_by == cast.person["engineer"]
    assert Return.objects.get(pk=filed.pk).recorded_by is None
    assert Reading.objects.filter(dial=1250).count() == 2
    assert Reading.objects.standing(known_at=now).filter(dial=1250).exists()
    assert not Reading.objects.standing().filter(dial=1250).exists()


def test_taking_back_twice_changes_nothing_more(filed, now):
    take_back_return(filed, at=now)
    rows = (Return.objects.count(), Reading.objects.count(), StockMove.objects.count())
    take_back_return(Return.objects.get(pk=filed.pk), at=now)
    assert (Return.objects.count(), Reading.objects.count(), StockMove.objects.count()) == rows


def test_the_same_return_sent_again_after_it_was_taken_back_is_not_kept_again(cast, filed, now):
    take_back_return(filed, at=now)
    again = file_return(
        cast.boat["sandpiper"], cast.charter["S2"], report(cast), at=now, client_id="pontoon-1"
    )
    assert again == filed
    assert not Defect.objects.open().exists()


def test_one_reading_is_taken_back_and_the_rest_stays(cast, filed, now):
    take_back_part(filed, filed.readings.get().reading, at=now)
    assert cast.due("sandpiper engine-oil", "change").hours_now == Decimal("1190.4")
    assert Defect.objects.open().count() == 1
    assert gas(cast) == 2
    assert due_list_holds()


def test_one_defect_or_one_spare_is_taken_back_alone(cast, filed, now):
    take_back_part(filed, filed.defects.get().defect, at=now)
    assert not Defect.objects.open().exists()
    take_back_part(filed, filed.moves.get().move, at=now)
    assert gas(cast) == 3
    assert cast.due("sandpiper engine-oil", "change").hours_now == 1250
    assert due_list_holds()


def test_the_whole_is_taken_back_after_a_part_was(cast, filed, now):
    take_back_part(filed, filed.moves.get().move, at=now)
    take_back_return(filed, at=now)
    assert gas(cast) == 3


def test_another_returns_reading_is_not_taken_back_with_this_one(cast, filed, now):
    other = Reading.objects.filter(meter=cast.meter["twice shy port"]).first()
    with pytest.raises(ReturnRefused, match="wanted something this return kept"):
        take_back_part(filed, other, at=now)


def test_a_reading_settled_since_goes_with_its_return(cast, now):
    filed = file_return(cast.boat["sandpiper"], cast.charter["S2"], report(cast, "121"), at=now)
    settle(filed.readings.get().reading, at=now, dial=Decimal(1210))
    assert cast.due("sandpiper engine-oil", "change").hours_now == 1210
    take_back_return(filed, at=now)
    assert cast.due("sandpiper engine-oil", "change").hours_now == Decimal("1190.4")
    assert due_list_holds()


def test_what_the_skipper_said_too_stands_when_the_bases_return_is_taken_back(cast, filed, now):
    said = Report(
        filed_by="skipper", day=TODAY, dials=[DialRead(cast.meter["sandpiper main"], Decimal(1250))]
    )
    file_return(cast.boat["sandpiper"], cast.charter["S2"], said, at=now)
    take_back_return(filed, at=now)
    assert cast.due("sandpiper engine-oil", "change").hours_now == 1250
    assert due_list_holds()


MIDNIGHT = datetime(2026, 5, 28, 21, 0, tzinfo=UTC)  # 29 May, 00:00 at the base, three hours ahead


def test_the_next_day_at_the_base_is_too_late(filed):
    with pytest.raises(TooLateToTakeBack, match="It was recorded on 2026-05-28"):
        take_back_return(filed, at=MIDNIGHT)
    with pytest.raises(TooLateToTakeBack, match="only what was recorded today"):
        take_back_part(filed, filed.readings.get().reading, at=MIDNIGHT)
    assert Return.objects.standing().count() == 1
    assert Reading.objects.standing().filter(dial=1250).exists()


def test_until_midnight_at_the_base_it_is_not_too_late(filed):
    assert take_back_return(filed, at=MIDNIGHT.replace(hour=20, minute=59)).void


def test_the_day_is_that_of_recording_and_not_the_day_she_came_back(cast, now):
    late = Report(filed_by="base", day=date(2026, 5, 25), defects=["Heads pump leaks"])
    filed = file_return(cast.boat["sandpiper"], cast.charter["S2"], late, at=now)
    assert take_back_return(filed, at=now).void


def test_a_touch_said_by_mistake_goes_with_the_return_and_holds_her_no_more(cast, now):
    said = report(cast, answers={"touched_bottom": True})
    filed = file_return(cast.boat["sandpiper"], cast.charter["S2"], said, at=now)
    assert Touch.objects.standing().get().defect == Defect.objects.get(words=TOUCHED.opens)
    take_back_return(filed, at=now)
    assert not Touch.objects.standing().exists()
    assert Touch.objects.count() == 2, "the register keeps both rows"
