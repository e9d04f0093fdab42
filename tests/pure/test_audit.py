"""Which dates hold on a day and until a boat is back. Sources stand beside the checks."""

from datetime import UTC, date, datetime

import pytest

from fleet.boats.dates import good_through
from fleet.charters.rules import Booking
from maintenance.safety.audit import (
    EXPIRED,
    ILLEGIBLE,
    IN_DATE,
    NO_DATE,
    RUNS_OUT,
    WORST_FIRST,
    Elsewhere,
    Expected,
    Printed,
    Thing,
    Through,
    audit,
    state_of,
    through_of,
)
from maintenance.servicing.calendar import add_months

ON, BACK = date(2026, 5, 28), date(2026, 6, 6)
AT = datetime(2026, 5, 1, 8, tzinfo=UTC)
S3 = Booking("S3", date(2026, 5, 30), BACK)


def thing(number=1, boat=1, kind=1, name="Dunlin") -> Thing:
    return Thing(number, f"raft-{number}", kind, f"Kind {kind}", "safety", "", "0012087", boat, name)


def printed(good: date | None, state="read") -> Printed:
    return Printed(1, state, good.isoformat() if good else "", good, AT)


@pytest.mark.parametrize(
    ("good", "state", "wanted"),
    [
        (date(2026, 5, 27), "read", EXPIRED),
        # "valid until the end of the date specified": UK SI 2023/1216 reg. 13
        (date(2026, 5, 28), "read", RUNS_OUT),
        (date(2026, 6, 5), "read", RUNS_OUT),
        # What is good to the day she comes back is good for the charter: DESIGN.md section 4
        (date(2026, 6, 6), "read", IN_DATE),
        (date(2030, 1, 1), "read", IN_DATE),
        (None, "read", NO_DATE),
        (None, None, NO_DATE),
        (None, "none", NO_DATE),
        # A ship whose safety gear shows no legible expiry date is taken not to be equipped with it:
        # Queensland Marine Safety Regulation s. 41
        (None, "illegible", ILLEGIBLE),
        (date(2030, 1, 1), "illegible", ILLEGIBLE),
    ],
)
def test_a_date_is_judged_on_the_day_and_through_the_charter(good, state, wanted):
    assert state_of(good, state, ON, BACK) == wanted


def test_a_certificate_holds_to_the_end_of_its_last_day():
    """Valid until the end of the date specified: UK SI 2023/1216 reg. 13; five years beginning
    1 May 2024 end on 30 April 2029."""
    last = date(2029, 4, 30)
    assert state_of(last, "read", last, last) == IN_DATE
    assert state_of(last, "read", date(2029, 5, 1), date(2029, 5, 1)) == EXPIRED


def test_a_raft_serviced_a_year_ago_holds_on_the_anniversary_and_not_after():
    """Not more than 12 months between services: SOLAS III/20.8.1."""
    until = add_months(date(2025, 6, 6), 12)
    assert state_of(until, "read", ON, BACK) == IN_DATE
    assert state_of(until, "read", ON, date(2026, 6, 7)) == RUNS_OUT


def test_a_seventeen_month_grace_is_the_administrations_and_not_counted():
    """Up to 17 months only where the Administration extends it: SOLAS III/20.8.1. The printed date is
    what is judged; nobody's grace is assumed."""
    serviced = date(2025, 1, 10)
    assert state_of(add_months(serviced, 12), "read", ON, BACK) == EXPIRED
    assert state_of(add_months(serviced, 17), "read", ON, BACK) == IN_DATE  # once it is printed so


def test_a_month_alone_holds_to_its_last_day():
    """MSC.388(94) wants dated items replaced where they expire before the next service; common
    practice, no source, that a month printed alone runs to its last day."""
    flares = good_through("06/2026")
    assert state_of(flares, "read", date(2026, 6, 30), date(2026, 6, 30)) == IN_DATE
    assert state_of(flares, "read", date(2026, 6, 30), date(2026, 7, 1)) == RUNS_OUT
    assert state_of(flares, "read", date(2026, 7, 1), date(2026, 7, 1)) == EXPIRED


def test_an_hrus_two_years_end_on_the_day_they_began():
    """Two-year life, then dispose of it: UK MCA Safety Bulletin 1, AMSA 2/2015; the anniversary date is
    the day and month of expiry: IMO HSSC."""
    until = add_months(date(2024, 6, 6), 24)
    assert until == BACK
    assert state_of(until, "read", ON, BACK) == IN_DATE


def test_it_is_judged_through_the_first_charter_that_goes_out_from_the_day_on():
    out, later = Booking("S2", date(2026, 5, 23), date(2026, 5, 30)), Booking("S4", BACK, date(2026, 6, 13))
    assert through_of([later, S3, out], ON) == Through(BACK, S3)
    assert through_of([S3], date(2026, 5, 30)) == Through(BACK, S3)
    assert through_of([out], ON) == Through(date(2026, 5, 30), out)
    assert through_of([out], date(2026, 5, 30)) == Through(date(2026, 5, 30))
    assert through_of([], ON) == Through(ON)


def test_the_worst_come_first_and_each_is_counted():
    goods = [date(2027, 1, 1), None, date(2026, 6, 1), date(2026, 5, 1), date(2026, 4, 1)]
    expected = [Expected(thing(n), "expiry", printed(good) if good else None) for n, good in enumerate(goods)]
    expected.append(Expected(thing(9), "expiry", printed(None, "illegible")))
    found = audit(expected, {1: Through(BACK, S3)}, ON)
    states = [EXPIRED, EXPIRED, RUNS_OUT, ILLEGIBLE, NO_DATE, IN_DATE]
    assert [line.state for line in found.lines] == states
    assert found.lines[0].good_through == date(2026, 4, 1)
    assert found.counts == {EXPIRED: 2, RUNS_OUT: 1, ILLEGIBLE: 1, NO_DATE: 1, IN_DATE: 1}
    assert (found.recorded, len(found.lines)) == (4, 6)
    assert tuple(found.counts) == WORST_FIRST


def test_groups_come_in_the_order_of_their_worst():
    def one(boat, kind, good):
        return Expected(thing(boat * 10 + kind, boat, kind, f"Boat {boat}"), "expiry", printed(good))

    bad, short, fine = date(2026, 1, 1), date(2026, 6, 1), date(2028, 1, 1)
    found = audit([one(1, 1, fine), one(2, 1, short), one(3, 2, bad), one(3, 1, fine)], {}, ON)
    assert [g.name for g in found.by_boat()] == ["Boat 3", "Boat 1", "Boat 2"]
    through = {boat: Through(BACK, S3) for boat in (1, 2, 3)}
    found = audit([one(1, 1, fine), one(2, 1, short), one(3, 2, bad), one(3, 1, fine)], through, ON)
    assert [g.name for g in found.by_boat()] == ["Boat 3", "Boat 2", "Boat 1"]
    assert [g.name for g in found.by_kind()] == ["Kind 2", "Kind 1"]
    assert [len(g.wrong) for g in found.by_kind()] == [1, 1]
    assert [len(g.good) for g in found.by_kind()] == [0, 2]


def test_a_thing_that_is_away_is_judged_by_the_lent_ones_date():
    lent = Elsewhere("station", date(2026, 5, 20), printed(date(2026, 6, 1)), "station", "L-09")
    found = audit([Expected(thing(), "expiry", elsewhere=lent)], {1: Through(BACK, S3)}, ON)
    assert (found.lines[0].state, found.lines[0].serial, found.recorded) == (RUNS_OUT, "L-09", 1)
    nothing = Elsewhere("station", date(2026, 5, 20))
    own = Expected(thing(), "expiry", printed(date(2030, 1, 1)), elsewhere=nothing)
    found = audit([own], {1: Through(BACK, S3)}, ON)
    assert (found.lines[0].state, found.recorded) == (NO_DATE, 0)


@pytest.mark.parametrize(
    ("good", "at_sea"),
    [(date(2026, 5, 29), False), (date(2026, 5, 30), True), (date(2026, 6, 5), True), (BACK, False)],
)
def test_it_runs_out_at_sea_where_its_day_is_one_of_the_charters(good, at_sea):
    found = audit([Expected(thing(), "expiry", printed(good))], {1: Through(BACK, S3)}, ON)
    assert found.lines[0].at_sea is at_sea
