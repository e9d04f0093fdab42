"""Which boat a charter has on which days, and when two clash."""

from datetime import date, time

import pytest

from fleet.charters.rules import Booking, clash, clashes, spans_of
from fleet.spans import Span, charter_days, day_run


def may(day: int) -> date:
    return date(2026, 5, day)


def booking(code: str, first: int, last: int, leaves: int | None = None, back: int | None = None) -> Booking:
    at = [None if hour is None else time(hour) for hour in (leaves, back)]
    return Booking(code, may(first), may(last), *at)


@pytest.mark.parametrize(
    ("one", "other", "wrong"),
    [
        (booking("a", 2, 9), booking("b", 9, 16), False),
        (booking("a", 2, 9), booking("b", 8, 16), True),
        (booking("a", 2, 16), booking("b", 8, 9), True),
        (booking("a", 2, 9), booking("b", 2, 9), True),
        (booking("a", 2, 9, 17, 9), booking("b", 9, 16, 17, 9), False),
        (booking("a", 2, 9, 17, 14), booking("b", 9, 16, 13, 9), True),
        (booking("a", 2, 9, 17, 14), booking("b", 9, 16, 14, 9), False),  # the minute she is back
        (booking("a", 2, 9, 17, None), booking("b", 9, 16, 8, 9), False),  # nobody said when
        (booking("a", 2, 9, 17, 14), booking("b", 9, 16, None, 9), False),
        (booking("a", 2, 9), booking("b", 10, 16), False),
    ],
)
def test_two_charters_clash_where_a_day_or_the_hours_of_one_are_shared(one, other, wrong):
    assert clash(one, other) is wrong
    assert clash(other, one) is wrong


def test_a_short_charter_inside_a_long_one_is_found_and_so_is_the_one_after():
    long, inside, after = booking("long", 1, 20), booking("in", 3, 5), booking("after", 10, 25)
    found = [(a.code, b.code) for a, b in clashes([after, inside, long])]
    assert found == [("long", "in"), ("long", "after")]


def test_a_season_of_weeks_has_no_clash():
    assert list(clashes(booking(str(n), n, n + 7, 17, 9) for n in (1, 8, 15, 22))) == []


def test_a_charter_that_kept_its_boat_has_all_its_days():
    assert list(spans_of("a", may(2), may(9), [])) == [("a", Span(may(2), may(9)))]


def test_a_boat_changed_before_it_starts_has_none_of_its_days():
    assert list(spans_of("b", may(2), may(9), [(may(2), "b")])) == [("b", Span(may(2), may(9)))]


def test_a_boat_changed_on_the_way_has_the_days_up_to_the_change():
    had = [(may(2), "a"), (may(5), "b"), (may(8), "a")]
    assert list(spans_of("a", may(2), may(9), had)) == [
        ("a", Span(may(2), may(5))),
        ("b", Span(may(5), may(8))),
        ("a", Span(may(8), may(9))),
    ]


def test_a_charter_cut_short_before_the_change_never_gave_the_other_boat_a_day():
    had = [(may(2), "a"), (may(5), "b")]
    assert list(spans_of("b", may(2), may(4), had)) == [("a", Span(may(2), may(4)))]


def test_a_charter_moved_to_start_earlier_gives_the_first_boat_the_added_days():
    assert list(spans_of("a", may(1), may(9), [(may(2), "a")])) == [("a", Span(may(1), may(9)))]


def test_days_out_are_counted_up_to_the_day_she_is_back():
    spans = [Span(may(2), may(9)), Span(may(16), may(23))]
    assert charter_days(spans, may(1), may(30)) == 14
    assert charter_days(spans, may(8), may(17)) == 2
    assert charter_days(spans, may(10), may(15)) == 0


def test_the_nth_day_out_runs_over_the_gap_and_ends_with_the_bookings():
    spans = [Span(may(16), may(23)), Span(may(2), may(9))]
    assert day_run(spans, may(1), 7) == may(8)
    assert day_run(spans, may(1), 8) == may(16)
    assert day_run(spans, may(5), 5) == may(16)
    assert day_run(spans, may(1), 15) is None
