"""Charters at a base that keeps a due list: the lines of every boat touched follow each change."""

from datetime import date, time

import pytest

from fleet.charters.actions import CharterRefused
from fleet.charters.facts import spans_by_boat
from fleet.charters.models import Charter
from fleet.meters.actions import record_reading
from fleet.spans import Span
from maintenance.planning.actions import cancel_charter, change_boat, extend_charter
from maintenance.servicing.actions import reforecast
from maintenance.servicing.models import Due
from tests.cast import TODAY, book, due_list_holds, fit, join, read, served

OIL = ("sandpiper engine-oil", "change")


def may(day: int) -> date:
    return date(2026, 5, day)


def hours_day(cast, boat: str = "sandpiper") -> date | None:
    """The day by which a boat's oil is expected to have run its hours."""
    return cast.due(f"{boat} engine-oil", "change").due_on


@pytest.fixture
def change(cast, now):
    def change(code: str, boat: str, on: date):
        return change_boat(cast.charter[code], cast.boat[boat], from_on=on, why="engine", at=now)

    return change


@pytest.fixture
def guest(cast, now):
    """A fourth boat, with hours run, so that her oil follows her charters."""
    join(cast, "late guest")
    fit(cast, "late guest", "engine-oil")
    served(cast, "late guest engine-oil", "change", "2026-03-01")
    read(cast, "late guest main", "2026-03-01", "320")
    read(cast, "late guest main", "2026-05-20", "405")
    reforecast(on=TODAY)


def test_extended_by_a_day_moves_what_is_expected_at_sea(cast, now):
    book(cast, "U", "sandpiper", "2026-06-20", "2026-06-21")
    cancel_charter(cast.charter["S3"], at=now)
    before = hours_day(cast)
    moved = extend_charter(cast.charter["S2"], ends_on=may(31), at=now, back_at=time(14))
    assert hours_day(cast) != before
    assert "Change" in [m.task for m in moved]
    assert due_list_holds()


def test_a_charter_called_off_moves_what_was_expected_of_it(cast, now):
    before = hours_day(cast)
    moved = cancel_charter(cast.charter["S3"], at=now)
    assert hours_day(cast) > before
    assert [m.task for m in moved if m.before == before] == ["Change", "Look"]
    assert due_list_holds()


def test_a_gas_bottle_counted_by_charters_follows_one_called_off(cast, now):
    gas = ("sandpiper gas-bottle", "swap")
    assert cast.due(*gas).due_on == may(30)
    cancel_charter(cast.charter["S3"], at=now)
    assert cast.due(*gas).due_on == date(2026, 6, 6)
    assert due_list_holds()


def test_a_refused_change_moves_nothing(cast, change):
    before = list(Due.objects.values_list("component", "interval", "due_on"))
    with pytest.raises(CharterRefused):
        change("S3", "twice shy", may(30))
    assert list(Due.objects.values_list("component", "interval", "due_on")) == before
    assert due_list_holds()


def test_a_boat_changed_before_it_starts_takes_its_hours_along(cast, change, guest):
    before = (hours_day(cast), hours_day(cast, "late guest"))
    change("S3", "late guest", may(30))
    assert hours_day(cast) > before[0]
    assert hours_day(cast, "late guest") != before[1]
    assert due_list_holds()


def test_a_boat_changed_on_the_way_parts_the_days_and_both_lists_follow(cast, change, guest):
    change("S2", "late guest", may(26))
    spans = spans_by_boat([cast.boat["sandpiper"].pk, cast.boat["late guest"].pk])
    assert Span(may(23), may(26)) in spans[cast.boat["sandpiper"].pk]
    assert spans[cast.boat["late guest"].pk] == [Span(may(26), may(30))]
    assert due_list_holds()


def test_a_charter_called_off_after_its_boat_changed_leaves_no_days_with_either(cast, change, guest, now):
    change("S3", "late guest", may(30))
    cancel_charter(Charter.objects.get(code="S3"), at=now)
    assert cast.boat["late guest"].pk not in spans_by_boat([cast.boat["late guest"].pk])
    assert due_list_holds()


def test_a_charter_that_has_gone_out_is_not_called_off_but_ends_another_day(cast, now):
    with pytest.raises(CharterRefused, match="S2 has gone out"):
        cancel_charter(cast.charter["S2"], at=now)
    assert Charter.objects.get(code="S2").cancelled_at is None


def test_a_charter_cut_short_before_its_boat_changed_follows_on_both(cast, change, guest, now):
    change("S2", "late guest", may(27))
    extend_charter(Charter.objects.get(code="S2"), ends_on=may(25), at=now)
    spans = spans_by_boat([cast.boat["sandpiper"].pk, cast.boat["late guest"].pk])
    assert Span(may(23), may(25)) in spans[cast.boat["sandpiper"].pk]
    assert cast.boat["late guest"].pk not in spans
    assert due_list_holds()


def test_a_second_change_follows_on_all_three_boats(cast, change, guest):
    change("S2", "late guest", may(27))
    cast.charter["S2"].refresh_from_db()
    change("S2", "blank page", may(25))
    spans = spans_by_boat([boat.pk for boat in cast.boat.values()])
    assert Span(may(23), may(25)) in spans[cast.boat["sandpiper"].pk]
    assert cast.boat["late guest"].pk not in spans
    assert Span(may(25), may(30)) in spans[cast.boat["blank page"].pk]
    assert due_list_holds()


def test_a_boat_changed_back_has_her_days_again(cast, change, guest):
    before = hours_day(cast)
    change("S2", "late guest", may(26))
    change("S2", "sandpiper", may(26))
    assert hours_day(cast) == before
    assert due_list_holds()


def test_the_other_boats_own_reading_then_counts_the_days_she_had(cast, change, guest, now):
    change("S2", "late guest", may(26))
    record_reading(cast.meter["late guest main"], day=TODAY, dial=411, at=now)
    reforecast(on=TODAY)
    assert cast.due("late guest engine-oil", "change").hours_now == 411
    assert due_list_holds()
