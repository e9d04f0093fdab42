"""Who has which boat when: extended, changed, called off."""

from datetime import date, time

import pytest
from django.core.exceptions import ValidationError

from fleet.charters.actions import CharterRefused, cancel_charter, change_boat, extend_charter
from fleet.charters.facts import spans_by_boat
from fleet.charters.models import Charter, CharterBoat
from fleet.spans import Span
from tests.cast import book, join


def may(day: int) -> date:
    return date(2026, 5, day)


def days_of(cast, name: str) -> list[Span]:
    return spans_by_boat([cast.boat[name].pk]).get(cast.boat[name].pk, [])


def test_a_charter_is_extended_by_a_day_where_the_next_leaves_after_she_is_back(cast):
    extend_charter(cast.charter["T1"], ends_on=may(30), back_at=time(14))
    assert Charter.objects.get(code="T1").back_at == time(14)  # T2 gives no time of leaving


def test_a_charter_keeps_its_hour_where_no_other_is_given(cast):
    assert extend_charter(cast.charter["T1"], ends_on=may(29)).back_at == time(9)


@pytest.mark.parametrize(
    ("ends_on", "back_at"), [(date(2026, 5, 31), time(9)), (date(2026, 5, 30), time(18))]
)
def test_a_charter_that_would_keep_the_boat_from_the_next_is_refused(cast, ends_on, back_at):
    with pytest.raises(CharterRefused, match="Sandpiper is out on S3"):
        extend_charter(cast.charter["S2"], ends_on=ends_on, back_at=back_at)
    assert Charter.objects.get(code="S2").ends_on == may(30)


@pytest.mark.parametrize("day", [22, 23])
def test_a_charter_does_not_end_before_the_day_after_it_began(cast, day):
    with pytest.raises(ValidationError, match="wanted a day after the charter starts"):
        extend_charter(cast.charter["S2"], ends_on=may(day))


def change(cast, now, code: str, boat: str, on: date):
    return change_boat(cast.charter[code], cast.boat[boat], from_on=on, why="engine", at=now)


def test_a_boat_changed_before_it_starts_gives_all_its_days_to_the_other(cast, now):
    book(cast, "X", "sandpiper", "2026-07-04", "2026-07-11")
    change(cast, now, "X", "blank page", date(2026, 7, 4))
    assert Span(date(2026, 7, 4), date(2026, 7, 11)) in days_of(cast, "blank page")
    assert all(span.starts_on < date(2026, 7, 1) for span in days_of(cast, "sandpiper"))


def test_a_boat_changed_on_the_way_parts_the_days_at_the_change(cast, now):
    change(cast, now, "S2", "blank page", may(26))
    assert Span(may(23), may(26)) in days_of(cast, "sandpiper")
    assert Span(may(26), may(30)) in days_of(cast, "blank page")


def test_a_second_change_on_the_way_gives_three_boats_their_days(cast, now):
    change(cast, now, "S2", "blank page", may(25))
    change(cast, now, "S2", "sandpiper", may(27))
    assert Span(may(25), may(27)) in days_of(cast, "blank page")
    assert {Span(may(23), may(25)), Span(may(27), may(30))} <= set(days_of(cast, "sandpiper"))


def test_an_earlier_change_takes_the_place_of_later_ones_which_stay_on_the_record(cast, now):
    join(cast, "late guest")
    change(cast, now, "S2", "blank page", may(27))
    change(cast, now, "S2", "late guest", may(25))
    assert Span(may(23), may(25)) in days_of(cast, "sandpiper")
    assert days_of(cast, "late guest") == [Span(may(25), may(30))]
    assert Span(may(27), may(30)) not in days_of(cast, "blank page")
    assert CharterBoat.objects.filter(boat=cast.boat["blank page"]).count() == 2  # said, and taken back


def test_a_boat_that_is_booked_then_is_not_given(cast, now):
    with pytest.raises(CharterRefused, match="Twice Shy is out on T1"):
        change(cast, now, "S2", "twice shy", may(26))
    assert Charter.objects.get(code="S2").boat == cast.boat["sandpiper"]
    assert not CharterBoat.objects.exists()


@pytest.mark.parametrize("on", [may(22), may(30)])
def test_a_boat_is_changed_on_a_day_of_the_charter_only(cast, now, on):
    with pytest.raises(CharterRefused, match="from_on: wanted"):
        change(cast, now, "S2", "blank page", on)


def test_the_boat_a_charter_has_already_is_no_change(cast, now):
    with pytest.raises(CharterRefused, match="S2 has Sandpiper already"):
        change(cast, now, "S2", "sandpiper", may(26))


def test_a_boat_given_up_is_free_for_another_from_that_day(cast, now):
    change(cast, now, "S2", "blank page", may(26))
    extend_charter(book(cast, "X", "sandpiper", "2026-05-26", "2026-05-28"), ends_on=may(30))
    with pytest.raises(CharterRefused, match="is out on S2"):
        extend_charter(cast.charter["S1"], ends_on=may(25))


def test_a_charter_called_off_counts_nowhere(cast, now):
    cancel_charter(cast.charter["S3"], at=now)
    assert Span(may(30), date(2026, 6, 6)) not in days_of(cast, "sandpiper")
    extend_charter(cast.charter["S2"], ends_on=date(2026, 6, 6))


def test_a_charter_called_off_after_its_boat_changed_counts_for_neither(cast, now):
    change(cast, now, "S2", "blank page", may(26))
    cancel_charter(cast.charter["S2"], at=now)
    assert Span(may(23), may(26)) not in days_of(cast, "sandpiper")
    assert Span(may(26), may(30)) not in days_of(cast, "blank page")
