"""Published rules of what is next due when the work was early or late, through the forecast.

[R] read in the document; [R2] read in a summary of the rule.
"""

from datetime import timedelta
from decimal import Decimal

import pytest
from dateutil.relativedelta import relativedelta

from maintenance.servicing.forecast import is_before_handover, is_overdue
from maintenance.servicing.grid import Grid, hours_point
from tests.pure.by_hand import day, line, rule

NEW = "2024-03-15 at 0"
CHECK_100 = rule(every_hours=100, early_hours=10, late_hours=10, from_due=True)


@pytest.mark.parametrize(("done_at", "next_at"), [(110, 200), (100, 200), (95, 200), (90, 200), (87, 187)])
def test_a_100_h_check_late_or_early(done_at, next_at):
    """[R] Rotax 912 line maintenance manual 05-20-00: +-10 h; 110 gives 200, not 210; 87 gives 187."""
    assert line(CHECK_100, NEW, f"2024-06-01 at {done_at}").due_hours == next_at


@pytest.mark.parametrize(
    ("every", "points"),
    [
        (100, [100, 200, 300, 400]),
        (200, [200, 400, 600, 800]),
        (600, [600, 1200, 1800, 2400]),
    ],
)
def test_the_matrix_of_100_200_and_600_h_checks(every, points):
    """[R] Rotax 912 05-20-00: 100-h items at 100, 200, 300; 200-h items at 200, 400, 600; 600 h."""
    grid = Grid(Decimal(every), None, from_due=True)
    done = [Decimal(point) for point in points]
    assert [hours_point(grid, done[:n], Decimal(10)) for n in range(4)] == points


def test_the_first_check_at_25_h_stands_ahead_of_the_grid():
    """[R] Rotax 912 05-20-00: first check at 25 h, then 100-h items at 100, 200."""
    grid = Grid(Decimal(100), Decimal(25), from_due=True)
    served = [Decimal(26), Decimal(104)]
    assert [hours_point(grid, served[:n], Decimal(10)) for n in range(3)] == [25, 100, 200]


def test_fewer_than_100_h_in_a_year_and_the_check_is_still_due():
    """[R] Rotax 912 05-20-00: the 100-h check is due after a year all the same."""
    verdict = line(rule(every_hours=100, every_months=12, from_due=True), NEW, readings=["2025-03-01 at 31"])
    assert (verdict.due_on, verdict.governs) == (day("2025-03-15"), "calendar")


@pytest.mark.parametrize(
    ("done_on", "next_on"),
    [
        ("2025-01-15", "2026-03-15"),
        ("2025-05-15", "2026-03-15"),
        ("2025-01-14", "2026-01-14"),
    ],
)
def test_the_yearly_check_two_months_either_side_keeps_its_day(done_on, next_on):
    """[R] Rotax 912 05-20-00: annual tolerance +-2 months: from 15 January to 15 May 2025."""
    yearly = rule(every_months=12, early_days=59, late_days=61, from_due=True)
    assert line(yearly, NEW).limit_on == day("2025-05-15")
    assert line(yearly, NEW, done_on).due_on == day(next_on)


@pytest.mark.parametrize("done_at", [95, 98, 100, 105])
def test_inside_the_window_of_95_to_105_h_the_next_window_is_195_to_205_h(done_at):
    """[R] Evektor SportStar RTC manual p. 05-9; 195 is early no more, 205 is the last that is not overdue."""
    window = rule(every_hours=100, early_hours=5, late_hours=5, from_due=True)
    verdict = line(window, NEW, f"2024-06-01 at {done_at}")
    assert (verdict.due_hours, verdict.limit_hours) == (200, 205)
    assert line(window, NEW, f"2024-06-01 at {done_at}", "2024-09-01 at 195").due_hours == 300
    at_205 = line(window, NEW, f"2024-06-01 at {done_at}", readings=["2024-09-01 at 205"])
    past_205 = line(window, NEW, f"2024-06-01 at {done_at}", readings=["2024-09-01 at 205.1"])
    assert [is_overdue(v, day("2024-09-01")) for v in (at_205, past_205)] == [False, True]


def test_early_by_more_than_the_window_starts_again_from_the_hours_done():
    """[R] Evektor SportStar RTC manual p. 05-9."""
    window = rule(every_hours=100, early_hours=5, late_hours=5, from_due=True)
    assert line(window, NEW, "2024-06-01 at 94.9").due_hours == Decimal("194.9")


def test_up_to_10_h_past_100_count_in_the_next_100():
    """[R2] 14 CFR 91.409(b): at most 10 h over, on the way to the place; done at 106, next at 200."""
    assert line(CHECK_100, NEW, "2024-06-01 at 106").due_hours == 200
    at_110 = line(CHECK_100, NEW, readings=["2024-06-01 at 110"])
    past = line(CHECK_100, NEW, readings=["2024-06-01 at 110.1"])
    assert [is_overdue(v, day("2024-06-01")) for v in (at_110, past)] == [False, True]


@pytest.mark.parametrize("late", range(1, 400, 7))
def test_late_never_gains_on_a_grid(late):
    """Rotax 912 05-20-00, Evektor p. 05-9 and 14 CFR 91.409(b) say so: only points of 100 come next."""
    point = line(CHECK_100, NEW, f"2026-06-01 at {100 + late}").due_hours
    assert point % 100 == 0
    assert 0 < point - (100 + late) <= 100


RAFT = rule(every_months=12, late_days=153)  # 10 April 2026 to 10 September 2026


def test_a_raft_of_12_months_may_run_to_17_and_no_further():
    """[R] SOLAS III/20.8.1: at most 12 months, which the Administration may extend to 17."""
    verdict = line(RAFT, "2021-05-03", "2025-04-10")
    assert verdict.due_on == day("2026-04-10")
    assert verdict.limit_on == day("2025-04-10") + relativedelta(months=17) == day("2026-09-10")
    assert [is_overdue(verdict, day(on)) for on in ("2026-09-10", "2026-09-11")] == [False, True]


@pytest.mark.parametrize(("late_days", "before"), [(0, True), (153, False)])
def test_a_raft_that_runs_out_at_sea_is_done_before_handover_unless_it_may_run_over(late_days, before):
    verdict = line(rule(every_months=12, late_days=late_days), "2021-05-03", "2025-04-10")
    assert is_before_handover(verdict, day("2026-04-18")) is before


@pytest.mark.parametrize(
    ("done_on", "next_on"),
    [
        ("2029-01-31", "2034-01-31"),
        ("2029-02-01", "2034-05-01"),
        ("2029-05-01", "2034-05-01"),
        ("2029-06-10", "2034-05-01"),
    ],
)
def test_a_certificate_renewed_in_its_last_3_months_or_after_keeps_its_day(done_on, next_on):
    """[R] UK SI 2023/1216 reg. 13: more than 3 months before, from the survey; later, from the old expiry.

    IMO HSSC guidelines [R] say the same of renewal inside and before the window."""
    last_3_months = (day("2029-05-01") - (day("2029-05-01") - relativedelta(months=3))).days
    certificate = rule(every_months=60, early_days=last_3_months, from_due=True)
    assert line(certificate, "2024-05-01", done_on).due_on == day(next_on)


def test_a_certificate_holds_to_the_end_of_the_day_it_names():
    """[R] UK SI 2023/1216 reg. 13: 5 years *beginning with* 1 May 2024 end on 30 April 2029 [C], so the
    printed day is one before the day counted from the survey; it goes in as printed."""
    certificate = line(rule(on_expiry=True), "2024-05-01", printed="2029-04-30")
    counted = line(rule(every_months=60), "2024-05-01")
    assert counted.due_on - certificate.due_on == timedelta(days=1)
    assert [is_overdue(certificate, day(on)) for on in ("2029-04-30", "2029-05-01")] == [False, True]


def test_a_service_of_12_months_is_from_date_to_date():
    """[R] Norway SM 4-2015; put off within the same calendar month (16 days here) without asking."""
    verdict = line(rule(every_months=12, late_days=16, from_due=True), "2024-03-15")
    assert (verdict.due_on, verdict.limit_on) == (day("2025-03-15"), day("2025-03-31"))
    late = line(rule(every_months=12, late_days=16, from_due=True), "2024-03-15", "2025-03-31")
    assert late.due_on == day("2026-03-15")


@pytest.mark.parametrize("done_on", ["2025-05-08", "2025-06-08", "2025-07-08"])
def test_lifejackets_a_month_either_side_keep_their_day(done_on):
    """[R2] MGN 553 as the RYA gives it: within one month either side of the next service date."""
    month = (day("2025-06-08") - day("2025-05-08")).days
    yearly = rule(every_months=12, early_days=month, late_days=30, from_due=True)
    assert line(yearly, "2024-06-08").limit_on == day("2025-06-08") + relativedelta(months=1)
    assert line(yearly, "2024-06-08", done_on).due_on == day("2026-06-08")
