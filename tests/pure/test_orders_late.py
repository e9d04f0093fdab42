"""How an order stands and how late it is, over any days and any deliveries."""

from datetime import date, timedelta
from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from maintenance.ordering.standing import Asked, Days, Stands, late, lead, stands, waited_for

DAY = st.dates(date(2026, 5, 1), date(2026, 6, 30))
SOME = st.integers(0, 6).map(Decimal)
LINES = st.lists(st.builds(Asked, SOME.filter(bool), SOME), min_size=1, max_size=4)
DAYS = st.builds(Days, st.none() | DAY, st.none() | DAY, st.none() | DAY)
TOOK = st.lists(st.integers(0, 90), max_size=6)


@given(DAYS, LINES, DAY)
def test_it_is_late_by_the_days_walked_since_it_was_to_be_here(days, lines, on):
    waits = days.closed_on is None and any(line.came < line.ordered for line in lines)
    there = days.sent_on is not None or any(line.came for line in lines)
    walked, day = 0, days.expected_on
    while waits and there and day is not None and day < on:
        day, walked = day + timedelta(1), walked + 1
    assert late(days, lines, on=on) == walked


@given(DAYS, LINES, DAY)
def test_it_is_a_day_later_each_day_until_it_is_here(days, lines, on):
    now, then = late(days, lines, on=on), late(days, lines, on=on + timedelta(1))
    assert then - now in ((1,) if now else (0, 1))
    here = [Asked(line.ordered, line.ordered) for line in lines]
    assert (stands(days, here), late(days, here, on=on)) == (Stands.RECEIVED, 0)


@given(DAYS, LINES)
def test_what_is_waited_for_is_never_more_than_was_ordered_and_nothing_once_closed(days, lines):
    for line in lines:
        waits = waited_for(days, line)
        assert 0 <= waits <= line.ordered
        assert waits == 0 or days.closed_on is None
        assert waits == 0 or stands(days, lines) in (Stands.SENT, Stands.PART)


@given(DAYS, LINES, st.randoms())
def test_its_word_does_not_hang_on_the_order_of_its_lines(days, lines, chance):
    mixed = list(lines)
    chance.shuffle(mixed)
    assert stands(days, mixed) is stands(days, lines)


@given(TOOK, TOOK, st.none() | st.integers(0, 60), st.integers(0, 60))
def test_a_lead_time_is_one_that_somebody_took_or_said(took, others, typed, usual):
    found = lead(took, others, typed=typed, usual=usual, supplier="Quay")
    if took:
        assert found.days == max(took[-3:])
    else:
        assert found.days in {typed, *others, usual}
    assert str(found.days) in found.why
