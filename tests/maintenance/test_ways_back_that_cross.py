"""What is undone after something else was built on it, and acts that meet on one day."""

from decimal import Decimal

import pytest

from fleet.charters.actions import CharterRefused
from fleet.charters.models import Charter
from fleet.meters.actions import ReadingGoesBackwards, record_reading
from fleet.meters.models import Reading
from maintenance.jobs.actions import Work, record_work
from maintenance.jobs.away import away_from, away_now, send_away, undo_last_step
from maintenance.jobs.refitting import NewPlace, move_part
from maintenance.planning.actions import cancel_charter, extend_charter
from maintenance.spares.actions import SpareUsed, count_stock
from maintenance.spares.facts import hands
from maintenance.turnaround.actions import (
    DialRead,
    Report,
    ReturnRefused,
    file_return,
    take_back_return,
)
from maintenance.turnaround.doubts import correct
from maintenance.turnaround.facts import returned_by
from tests.cast import TODAY, due_list_holds


def back(cast, now, **said):
    return file_return(cast.boat["sandpiper"], cast.charter["S2"], Report("base", TODAY, **said), at=now)


def test_a_part_served_and_moved_the_same_day_counts_from_the_old_places_dial(cast, now):
    oil = cast.part["sandpiper engine-oil"]
    main = cast.meter["sandpiper main"]
    work = Work(TODAY, [cast.task("sandpiper engine-oil", "change")], dials={main: Decimal("1200")})
    record_work(cast.boat["sandpiper"], work, at=now)
    place = NewPlace(cast.boat["blank page"], cast.meter["blank page main"], dial=Decimal("640"))
    move_part(oil, place, on=TODAY, why="lent", at=now)
    due = cast.due("sandpiper engine-oil", "change")
    assert due.due_hours - due.hours_now == 100
    assert due_list_holds()


def test_a_dial_noted_after_a_new_meter_is_in_doubt_once_the_new_meter_is_undone(cast, now):
    main = cast.meter["sandpiper main"]
    filed = back(cast, now, dials=[DialRead(main, Decimal(0), new_meter=True)])
    work = Work(TODAY, [cast.task("sandpiper engine-oil", "change")], dials={main: Decimal("0.5")})
    record_work(cast.boat["sandpiper"], work, at=now)
    take_back_return(filed, at=now)
    noted = Reading.objects.standing().get(meter=main, dial=Decimal("0.5"))
    assert noted.standing == Reading.Standing.DOUBTFUL
    assert cast.due("sandpiper engine-oil", "change").hours_now == Decimal("1190.4")
    assert due_list_holds()


def test_a_second_new_meter_of_a_day_is_in_doubt(cast, now):
    main = cast.meter["sandpiper main"]
    for dial in ("0", "3"):
        record_reading(main, day=TODAY, dial=Decimal(dial), new_meter=True, at=now)
    second = Reading.objects.standing().get(meter=main, dial=3)
    assert second.standing == Reading.Standing.DOUBTFUL


def test_a_spare_counted_since_it_was_used_is_not_put_back_by_undoing_its_use(cast, now):
    bottle, store = cast.spare["gas bottle"], cast.place["store"]
    filed = back(cast, now, used=[SpareUsed(bottle, store, Decimal(1))])
    count_stock(bottle, store, counted=Decimal(0), day=TODAY, at=now)
    take_back_return(filed, at=now)
    assert hands()[bottle.pk, store.pk] == 0


def test_a_mistaken_sent_away_is_undone(cast, now):
    raft = cast.part["sandpiper life-raft"]
    send_away(raft, whom="Raft station", day=TODAY, at=now)
    assert away_from([cast.boat["sandpiper"].pk])[cast.boat["sandpiper"].pk][0].sent.whom == "Raft station"
    assert undo_last_step(raft, at=now) is not None
    assert away_now([raft.pk]) == {}
    assert undo_last_step(raft, at=now) is None


def test_a_charter_called_off_by_one_is_not_brought_back_by_another_who_extends_it(cast, now):
    read_before = Charter.objects.get(code="S3")
    cancel_charter(cast.charter["S3"], at=now)
    with pytest.raises(CharterRefused, match="S3 was called off"):
        extend_charter(read_before, ends_on=read_before.ends_on, at=now)
    assert Charter.objects.get(code="S3").cancelled_at is not None


def test_an_id_that_is_another_boats_return_is_refused_and_nothing_dropped_in_silence(cast, now):
    file_return(cast.boat["sandpiper"], None, Report("base", TODAY, defects=["Leak"]), at=now, client_id="a")
    with pytest.raises(ReturnRefused, match="client_id: wanted a new one"):
        file_return(
            cast.boat["twice shy"], None, Report("base", TODAY, defects=["Gas"]), at=now, client_id="a"
        )


def test_a_skippers_report_tells_that_she_is_back_and_does_not_check_her_out(cast, now):
    boat, charter = cast.boat["sandpiper"], cast.charter["S2"]
    file_return(boat, charter, Report("skipper", TODAY, defects=["Leak"]), at=now)
    returned = returned_by([boat.pk])
    assert (charter.pk in returned.told, charter.pk in returned.checked_out) == (True, False)
    file_return(boat, charter, Report("base", TODAY, defects=["Leak"]), at=now)
    assert charter.pk in returned_by([boat.pk]).checked_out


def test_a_plausible_reading_that_was_wrong_is_corrected_and_stays_on_the_record(cast, now):
    wrong = Reading.objects.get(meter=cast.meter["sandpiper main"], dial=Decimal("1190.4"))
    assert correct(wrong, dial=Decimal("1180.4"), at=now)
    assert cast.due("sandpiper engine-oil", "change").hours_now == Decimal("1180.4")
    assert Reading.objects.filter(pk=wrong.pk, dial=Decimal("1190.4")).exists()
    assert due_list_holds()


def test_a_correction_that_cannot_be_right_changes_nothing(cast, now):
    wrong = Reading.objects.get(meter=cast.meter["sandpiper main"], dial=Decimal("1190.4"))
    with pytest.raises(ReadingGoesBackwards, match=r"900 h on Sat 23 May 2026 does not go with 1120 h"):
        correct(wrong, dial=Decimal(900), at=now)
    assert cast.due("sandpiper engine-oil", "change").hours_now == Decimal("1190.4")
