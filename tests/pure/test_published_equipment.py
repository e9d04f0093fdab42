"""Published intervals and printed dates of safety equipment, through the forecast.

[R] read in the rule or the maker's text; [R2] read in a summary of it. The flag's code, the maker and
the licensed service station say what holds for a boat; these are checks of the arithmetic.
"""

import pytest
from dateutil.relativedelta import relativedelta

from fleet.boats.dates import DateNotClear, good_through
from maintenance.servicing.forecast import is_before_handover, is_overdue
from tests.pure.by_hand import day, line, rule

# What the rule says | months | last done | next
PUBLISHED = [
    # [R] A.761(18): gas inflation test of a raft every 5 years.
    ("raft, gas inflation", 60, "2021-02-28", "2026-02-28"),
    # [R] Revere service manual p. 172: ISO 9650 raft stored at most 12 months, then opened and tested.
    ("raft, stored", 12, "2024-02-29", "2025-02-28"),
    # [R2] private boats in France: raft every 3 years, its gas cylinder proved every 9.
    ("raft, France", 36, "2024-05-31", "2027-05-31"),
    ("raft cylinder, France", 108, "2024-02-29", "2033-02-28"),
    # [R] MSC/Circ.1040, IV/15.9: EPIRB tested every year, shore maintenance at most every 5 years.
    ("EPIRB, test", 12, "2025-06-30", "2026-06-30"),
    ("EPIRB, ashore", 60, "2024-02-29", "2029-02-28"),
    # [R] gov.uk Safety Bulletin 1, AMSA 2/2015: disposable hydrostatic release, 2 years.
    ("hydrostatic release", 24, "2024-02-29", "2026-02-28"),
    # [R2] RYA, RNLI: lifejacket yearly where commercial; firing capsule 3 years, the other sort 5.
    ("lifejacket", 12, "2025-04-01", "2026-04-01"),
    ("firing capsule", 36, "2024-10-31", "2027-10-31"),
    ("firing capsule, other sort", 60, "2024-10-31", "2029-10-31"),
    # [R2] BS 5306-3: user check monthly, basic 12 months, extended 5 years, CO2 overhaul 10, replaced by 20.
    ("extinguisher, user check", 1, "2026-01-31", "2026-02-28"),
    ("extinguisher, basic", 12, "2025-03-31", "2026-03-31"),
    ("extinguisher, extended", 60, "2025-03-31", "2030-03-31"),
    ("extinguisher, CO2 overhaul", 120, "2024-02-29", "2034-02-28"),
    ("extinguisher, life", 240, "2024-02-29", "2044-02-29"),
    # [R2] UK gas: hose to BS EN 16436 5 years, regulator 10; [R2] Germany, DVGW G 608: both at most 6.
    ("gas hose, UK", 60, "2023-11-30", "2028-11-30"),
    ("gas regulator, UK", 120, "2023-11-30", "2033-11-30"),
    ("gas hose and regulator, Germany", 72, "2024-02-29", "2030-02-28"),
    # [R] SOLAS general rule: batteries without a printed date, every year.
    ("batteries, no date", 12, "2026-05-15", "2027-05-15"),
]


@pytest.mark.parametrize(
    ("months", "last", "next_on"), [pytest.param(*known, id=name) for name, *known in PUBLISHED]
)
def test_the_next_day_is_the_rules(months, last, next_on):
    verdict = line(rule(every_months=months), "2020-01-31", last)
    assert verdict.due_on == day(next_on) == day(last) + relativedelta(months=months)
    assert [is_overdue(verdict, day(next_on) + relativedelta(days=n)) for n in (0, 1)] == [False, True]


@pytest.mark.parametrize(
    ("written", "good"),
    [
        ("06/2027", "2027-06-30"),
        ("2027-06", "2027-06-30"),
        ("2028-02", "2028-02-29"),
        ("2100-02", "2100-02-28"),
        ("12/2026", "2026-12-31"),
        ("2027-06-15", "2027-06-15"),
    ],
)
def test_a_month_alone_is_good_to_its_last_day(written, good):
    """Printed 06/2027 is valid to 2027-06-30; 14 CFR 91.409 [R2] counts calendar months the same way."""
    verdict = line(rule(on_expiry=True), "2024-01-01", printed=str(good_through(written)))
    assert (verdict.due_on, verdict.governs, verdict.basis) == (day(good), "expiry", "dated")
    assert not is_overdue(verdict, day(good))
    assert is_overdue(verdict, day(good) + relativedelta(days=1))


@pytest.mark.parametrize("written", ["3/4/2026", "13/2027", "2027-02-29", "2027", "soon"])
def test_a_date_that_could_mean_two_days_or_none_is_asked_about(written):
    with pytest.raises(DateNotClear, match="wanted a day such as"):
        good_through(written)


@pytest.mark.parametrize(
    ("made", "fitted", "next_on", "governs"),
    [
        ("2024-05-10", "2024-06-01", "2026-06-01", "calendar"),
        ("2021-12-01", "2024-06-01", "2025-12-01", "expiry"),
    ],
)
def test_a_release_is_2_years_from_fitting_or_4_from_making(made, fitted, next_on, governs):
    """[R2] one page on the disposable hydrostatic release. The second goes in as its printed date."""
    printed = str(day(made) + relativedelta(years=4))
    verdict = line(rule(every_months=24, on_expiry=True), fitted, printed=printed)
    assert (verdict.due_on, verdict.governs) == (day(next_on), governs)


def test_flares_of_42_months_do_not_wait_for_the_rafts_service():
    """[R] 46 CFR 160.024/.036: at most 42 months from making. With the raft's 12 + 5 months they could be
    17 months out of date [R]; as things of their own they are due on the day printed."""
    printed = day("2022-10-31") + relativedelta(months=42)
    assert printed == day("2026-04-30")
    flares = line(rule(on_expiry=True), "2025-04-10", printed=str(printed))
    raft = line(rule(every_months=12, late_days=153), "2021-05-03", "2025-04-10")
    assert is_before_handover(flares, day("2026-05-09"))
    assert not is_before_handover(raft, day("2026-05-09"))
    assert raft.limit_on - flares.limit_on == day("2026-09-10") - day("2026-04-30")


def test_a_service_does_not_move_a_printed_date():
    """[R] gov.uk Safety Bulletin 1: a disposable unit is disposed of, not serviced on."""
    printed = line(rule(on_expiry=True), "2024-06-01", "2026-05-01", printed="2026-06-01")
    assert (printed.due_on, printed.recorded) == (day("2026-06-01"), True)


def test_no_date_printed_is_missing_not_in_date():
    unprinted = line(rule(on_expiry=True), "2024-06-01")
    assert (unprinted.due_on, unprinted.limit_on, unprinted.missing) == (None, None, ("expiry",))


@pytest.mark.parametrize(("ends_on", "before"), [("2026-06-13", False), ("2026-06-14", True)])
def test_a_battery_good_to_the_day_the_boat_is_back_is_good_for_the_charter(ends_on, before):
    """[R] MSC/Circ.1040: the battery's expiry is checked. The day counted to is the design's own."""
    battery = line(rule(on_expiry=True), "2020-06-01", printed="2026-06-13")
    assert is_before_handover(battery, day(ends_on)) is before
