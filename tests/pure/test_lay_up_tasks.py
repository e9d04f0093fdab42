"""Tasks of the lay-up only: they count from the day it began, and from nothing before."""

from dataclasses import replace
from decimal import Decimal

from maintenance.servicing.forecast import is_overdue, judge
from tests.pure.by_hand import day, facts, rule

LAID_UP = day("2025-11-01")


def laid_up(limbs, *services, **known):
    """A line of a boat built in 2020 and laid up on 1 November 2025."""
    return judge(replace(facts(limbs, "2020-04-01 at 0", *services, **known), only_from=LAID_UP))


def test_a_monthly_run_is_due_a_month_after_the_lay_up_began_and_a_month_after_each_run():
    """Common practice, no source: a laid-up engine is run, or turned, at least once a month."""
    monthly = rule(every_months=1)
    assert laid_up(monthly).due_on == day("2025-12-01")
    assert laid_up(monthly, "2025-11-29").due_on == day("2025-12-29")


def test_it_reads_counted_from_the_lay_up_and_claims_no_work():
    verdict = laid_up(rule(every_months=1))
    assert (verdict.counted_from, verdict.counting, verdict.recorded) == (LAID_UP, True, True)
    done = laid_up(rule(every_months=1), "2025-11-20")
    assert (done.counted_from, done.counting) == (day("2025-11-20"), False)


def test_a_month_late_it_is_overdue():
    verdict = laid_up(rule(every_months=1))
    assert not is_overdue(verdict, day("2025-12-01"))
    assert is_overdue(verdict, day("2025-12-02"))


def test_a_first_point_is_counted_from_the_lay_up_too():
    once = rule(first_months=2)
    assert laid_up(once).due_on == day("2026-01-01")
    assert laid_up(once, "2025-12-15").due_on is None


def test_hours_are_counted_from_those_of_the_lay_ups_first_day():
    """Fifty hours run after it began: at 1250, not at the next fifty since 2020."""
    verdict = laid_up(rule(every_hours=50), readings=["2025-10-30 at 1200", "2025-11-20 at 1203"])
    assert (verdict.due_hours, verdict.hours_now) == (Decimal(1250), Decimal(1203))


def test_a_thing_fitted_during_the_lay_up_counts_from_its_fitting():
    new = replace(facts(rule(every_months=1), "2026-01-10 at 0"), only_from=LAID_UP)
    assert judge(new).due_on == day("2026-02-10")
