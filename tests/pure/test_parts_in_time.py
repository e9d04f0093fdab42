"""Which jobs have their parts too late, against the days lived through one by one."""

from datetime import date, timedelta
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from maintenance.ordering.in_time import Need, too_late

FIRST, DAYS = date(2026, 5, 28), 14
QUANTITY = st.integers(1, 5).map(Decimal)
DAY = st.integers(0, DAYS - 1).map(lambda n: FIRST + timedelta(n))
NEEDS = st.lists(st.tuples(st.integers(0, 1), QUANTITY, DAY), max_size=7)
COMES = st.lists(st.tuples(DAY, QUANTITY), max_size=4)


def lived(needs: list[Need], lying: Decimal, comes, ordered_now: date):
    """One part: each morning's arrivals are put aside for whoever still waits, whose limit comes first
    before others; on the day an order made now would be here everybody could have what they still wait
    for. For each job what was not there by its limit, and the last day it got any."""
    waits = {need.job: int(need.quantity) for need in sorted(needs, key=lambda one: (one.by, one.job))}
    by = {need.job: need.by for need in needs}
    late, last = dict.fromkeys(waits, 0), {}

    def put_aside(units: int, day: date) -> None:
        for job in waits:
            share = min(units, waits[job])
            waits[job] -= share
            units -= share
            if share and day > by[job]:
                late[job] += share
                last[job] = day

    put_aside(max(int(lying), 0), date.min)
    for n in range((ordered_now - FIRST).days):
        day = FIRST + timedelta(n)
        put_aside(sum(int(number) for on, number in comes if on == day), day)
    put_aside(sum(waits.values()), ordered_now)
    return {job: (Decimal(number), last[job]) for job, number in late.items() if number}


@settings(deadline=None, max_examples=300)
@given(NEEDS, st.tuples(*[st.integers(-2, 6).map(Decimal)] * 2), st.tuples(COMES, COMES), DAY)
def test_a_job_is_too_late_by_as_much_as_the_days_lived_through_say(needs, lying, comes, ordered_now):
    wanted = [Need(job, *need) for job, need in enumerate(needs)]
    coming = {spare: sorted(of) for spare, of in enumerate(comes)}
    told = too_late(
        wanted,
        lying=dict(enumerate(lying)),
        coming=coming,
        ordered_now=dict.fromkeys(range(2), ordered_now),
    )
    by_hand = {}
    for spare in range(2):
        of = [need for need in wanted if need.spare == spare]
        by_hand |= lived(of, lying[spare], comes[spare], ordered_now)
    found = {}
    for one in told:
        assert one.need.job not in found
        found[one.need.job] = (one.missing, one.here_on)
    assert found == by_hand
    assert [one.need.by for one in told] == sorted(one.need.by for one in told)


@given(NEEDS, COMES, DAY)
def test_more_that_lies_there_or_comes_makes_no_job_later(needs, comes, ordered_now):
    wanted = [Need(job, 0, *need[1:]) for job, need in enumerate(needs)]
    said = {"coming": {0: sorted(comes)}, "ordered_now": {0: ordered_now}}
    few = {one.need.job: one.missing for one in too_late(wanted, lying={}, **said)}
    many = {one.need.job: one.missing for one in too_late(wanted, lying={0: Decimal(3)}, **said)}
    assert all(number <= few.get(job, 0) for job, number in many.items())
    enough = sum((need.quantity for need in wanted), Decimal(0))
    assert too_late(wanted, lying={0: enough}, **said) == []


@given(NEEDS, COMES, DAY)
def test_no_job_is_too_late_that_an_order_made_now_would_be_in_time_for(needs, comes, ordered_now):
    wanted = [Need(job, 0, *need[1:]) for job, need in enumerate(needs)]
    told = too_late(wanted, lying={}, coming={0: sorted(comes)}, ordered_now={0: ordered_now})
    assert all(one.need.by < one.here_on <= ordered_now for one in told)
