"""Makers' published intervals through the forecast: the next hours and the next day, and which governs.

[R] read in the maker's manual or an excerpt of it; [R2] read in a summary of it; [M] value from memory.
All rules here start again when the work is done, unless the test says grid.
"""

from decimal import Decimal

import pytest

from maintenance.servicing.facts import Intervals
from maintenance.servicing.forecast import Done, is_overdue, judge
from tests.pure.by_hand import day, facts, line, rule

NEW = "2024-03-15 at 0"
FIRST_HOUR = "2024-03-15 at 1000"

# What the maker says | limbs | services since new at 0 h on 2024-03-15 | next hours | next day
PUBLISHED = [
    # [R] Yanmar 3YM30E operation manual p. 37, p. 46: impeller 1000 h or 4 years, whichever first.
    ("impeller", {"every_hours": 1000, "every_months": 48}, [], 1000, "2028-03-15"),
    # [R] the same pages: alternator belt, even if no crack. Replaced at 640 h.
    ("belt", {"every_hours": 1000, "every_months": 48}, ["2026-06-01 at 640"], 1640, "2030-06-01"),
    # [R] Yanmar 4JH3E operation manual p. 35: classes of 50 h; 250 h or 1 year; 500 h or 2; 1000 h or 4.
    ("50 h class", {"every_hours": 50}, ["2024-05-01 at 50"], 100, None),
    ("250 h class", {"every_hours": 250, "every_months": 12}, ["2025-02-28 at 210"], 460, "2026-02-28"),
    ("500 h class", {"every_hours": 500, "every_months": 24}, [], 500, "2026-03-15"),
    ("1000 h class", {"every_hours": 1000, "every_months": 48}, ["2028-02-29 at 990"], 1990, "2032-02-29"),
    # [R] Yanmar 2GM20 pp. 34, 40 (older): hours alone, 50, 150, 300, 600 h; coolant at 600 h.
    ("150 h, no years", {"every_hours": 150}, ["2024-09-01 at 148"], 298, None),
    ("coolant, no years", {"every_hours": 600}, [], 600, None),
    # [R] Beta 43/50/60 operator's manual p. 32: oil after the first 50 h, then every year or 250 h if sooner.
    ("oil, new", {"first_hours": 50, "every_hours": 250, "every_months": 12}, [], 50, "2025-03-15"),
    ("oil, run in", {"first_hours": 50, "every_hours": 250, "every_months": 12},
     ["2024-04-20 at 50"], 300, "2025-04-20"),
    ("oil, third", {"first_hours": 50, "every_hours": 250, "every_months": 12},
     ["2024-04-20 at 50", "2025-04-01 at 290"], 540, "2026-04-01"),
    # [R] the same page: shallow sumps every 150 h.
    ("oil, shallow sump", {"first_hours": 50, "every_hours": 150, "every_months": 12},
     ["2024-04-20 at 50"], 200, "2025-04-20"),
    # [R] Perkins M92/M115T handbook p. 44: A first service 25/50 h; C 250 h or 12 months.
    ("C, 12 months", {"every_hours": 250, "every_months": 12}, ["2025-01-31 at 100"], 350, "2026-01-31"),
    ("A, then C", {"first_hours": 25, "every_hours": 250}, ["2024-04-01 at 25"], 275, None),
    # [R] the same: antifreeze 2 years, inhibitor alone 6 months.
    ("antifreeze", {"every_months": 24}, ["2024-03-20"], None, "2026-03-20"),
    ("inhibitor alone", {"every_months": 6}, ["2024-08-31"], None, "2025-02-28"),
    # [R] Perkins 4.236 class, US TM 55-1930-209 p. 672: 125 h or 2 months; oil 250 h or 4 months;
    # gearbox oil 500 h or 12 months; valve clearance 2500 h. Each whichever occurs first.
    ("125 h or 2 months", {"every_hours": 125, "every_months": 2}, ["2024-12-31 at 100"], 225, "2025-02-28"),
    ("oil, 4 months", {"every_hours": 250, "every_months": 4}, ["2024-10-31 at 60"], 310, "2025-02-28"),
    ("gearbox oil", {"every_hours": 500, "every_months": 12}, [], 500, "2025-03-15"),
    ("valve clearance", {"every_hours": 2500}, ["2026-03-01 at 2498.5"], "4998.5", None),
    # [R] Westerbeke 3.5/6.5 SBCG manuals 1412842 p. 24, 1075316 p. 21: oil first 50 h, then every 100 h;
    # exhaust first 50 h, then every 250 h; coolant 500 h or 2 years; catalyst 2000 h.
    ("generator oil", {"first_hours": 50, "every_hours": 100},
     ["2024-05-01 at 50", "2024-08-01 at 150"], 250, None),
    ("generator exhaust", {"first_hours": 50, "every_hours": 250}, ["2024-05-01 at 50"], 300, None),
    ("generator coolant", {"every_hours": 500, "every_months": 24}, ["2024-05-01 at 50"], 550, "2026-05-01"),
    ("catalyst", {"every_hours": 2000}, [], 2000, None),
    # [R] FPT/Iveco N45/N67 p. 21: coolant 1200 h or 2 years; air filter 2 years, no hours.
    ("coolant", {"every_hours": 1200, "every_months": 24}, [], 1200, "2026-03-15"),
    ("air filter", {"every_months": 24}, ["2026-02-28"], None, "2028-02-28"),
    # [R] Deutz BL1011F p. 39: toothed belt 3000 h, at latest 5 years.
    ("toothed belt", {"every_hours": 3000, "every_months": 60}, [], 3000, "2029-03-15"),
    # [R] Yamaha F150B p. 425: first 20 h or 3 months; every 100 h or year, 300 h or 3, 500 h or 5.
    ("20 h or 3 months", {"first_hours": 20, "first_months": 3, "every_hours": 100, "every_months": 12},
     [], 20, "2024-06-15"),
    ("then 100 h or a year", {"first_hours": 20, "first_months": 3, "every_hours": 100, "every_months": 12},
     ["2024-06-01 at 19"], 119, "2025-06-01"),
    ("300 h or 3 years", {"every_hours": 300, "every_months": 36}, ["2027-03-01 at 288"], 588, "2030-03-01"),
    # [R] Tohatsu MFS p. 67: first 20 h or 1 month; 50 h or 3 months.
    ("20 h or 1 month", {"first_hours": 20, "first_months": 1, "every_hours": 50, "every_months": 3},
     [], 20, "2024-04-15"),
    ("then 50 h or 3 months", {"first_hours": 20, "first_months": 1, "every_hours": 50, "every_months": 3},
     ["2024-04-15 at 12"], 62, "2024-07-15"),
    # [R2] Yanmar SD20 saildrive: oil 250 h or a year; diaphragms inspect at 2 years, replace at 5.
    ("drive oil", {"every_hours": 250, "every_months": 12}, ["2025-03-15 at 180"], 430, "2026-03-15"),
    ("diaphragm, look", {"every_months": 24}, [], None, "2026-03-15"),
    ("diaphragm, replace", {"every_months": 60}, [], None, "2029-03-15"),
    # [R] Mercury, in a boatbuilder's manual 1812956 p. 49: 500 h or 5 years, whichever first.
    ("500 h or 5 years", {"every_hours": 500, "every_months": 60}, ["2027-05-31 at 480"], 980, "2032-05-31"),
    # [M] value from memory: Volvo Penta 120S/130S/150S hull seal, replace every 7 years.
    ("hull seal", {"every_months": 84}, ["2024-04-10"], None, "2031-04-10"),
    # [M] value from memory: Volvo D1/D2 oil, 200 h or at least every 12 months.
    ("oil 200 h", {"every_hours": 200, "every_months": 12}, ["2025-04-01 at 170"], 370, "2026-04-01"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("limbs", "services", "hours", "when"), [pytest.param(*known, id=name) for name, *known in PUBLISHED]
)
def test_the_next_hours_and_the_next_day_are_the_makers(limbs, services, hours, when):
    verdict = line(rule(**limbs), NEW, *services)
    assert verdict.due_hours == (None if hours is None else Decimal(hours))
    assert verdict.due_on == (day(when) if when else None)
    assert verdict.governs == ("calendar" if when else None), "no charter is booked, so no hour has a day"


OIL = rule(every_hours=250, every_months=12)


def test_last_done_at_1000_h_is_due_at_1250_h_or_after_a_year():
    """Worked beforehand with the plain sum and dateutil: 250 h or 12 months, done at 1000 h on 2024-03-15."""
    verdict = line(OIL, "2020-01-10 at 0", FIRST_HOUR)
    assert (verdict.due_hours, verdict.due_on) == (1250, day("2025-03-15"))


def test_at_1240_h_in_september_the_hours_bind_with_10_left():
    """The same: a reading of 1240 h on 2024-09-01. With 5 h a charter day the second day reaches 1250."""
    verdict = line(
        OIL, "2020-01-10 at 0", FIRST_HOUR,
        readings=["2024-09-01 at 1240"], charters=[("2024-09-07", "2024-09-14")], rate=5,
    )  # fmt: skip
    assert verdict.due_hours - verdict.hours_now == 10
    assert (verdict.governs, verdict.basis, verdict.due_on) == ("hours", "expected", day("2024-09-08"))


def test_at_1100_h_a_day_after_the_year_it_is_overdue_by_calendar_with_150_h_left():
    """The same: a reading of 1100 h on 2025-03-16."""
    verdict = line(OIL, "2020-01-10 at 0", FIRST_HOUR, readings=["2025-03-16 at 1100"])
    assert is_overdue(verdict, day("2025-03-16"))
    assert not is_overdue(verdict, day("2025-03-15")), "due today is not overdue until the day has ended"
    assert (verdict.governs, verdict.due_hours - verdict.hours_now) == ("calendar", 150)


@pytest.mark.parametrize(("from_due", "points"), [(False, [50, 300, 550]), (True, [50, 250, 500])])
def test_the_first_50_h_then_250_h_is_a_setting_of_each_task(from_due, points):
    """From new 50, 300, 550 where the work starts the count again; 50, 250, 500 where it is on a grid."""
    limbs = rule(first_hours=50, every_hours=250, from_due=from_due)
    when = ["2024-05-01", "2024-09-01", "2025-05-01"]
    for n, point in enumerate(points):
        served = [f"{d} at {p}" for d, p in zip(when[:n], points[:n], strict=True)]
        assert line(limbs, NEW, *served).due_hours == point


WHICHEVER_FIRST = rule(every_hours=1000, every_months=48)


def test_a_busy_engine_meets_its_1000_h_before_its_4_years():
    """[R] Yanmar 3YM30E operation manual p. 37: whichever first; the reading that shows it is the day."""
    verdict = line(WHICHEVER_FIRST, NEW, readings=["2025-10-01 at 980", "2026-05-09 at 1004"])
    assert (verdict.due_on, verdict.governs, verdict.basis) == (day("2026-05-09"), "hours", "reached")


def test_an_idle_engine_meets_its_4_years_before_its_1000_h():
    verdict = line(WHICHEVER_FIRST, NEW, readings=["2028-03-10 at 211"])
    assert (verdict.due_on, verdict.governs, verdict.due_hours) == (day("2028-03-15"), "calendar", 1000)


def test_100_h_a_year_meets_100_h_and_the_year_together():
    """[R] Yamaha 4AC p. 50: the chart assumes 100 h a year. On a tie the calendar is named first."""
    verdict = line(rule(every_hours=100, every_months=12), NEW, readings=["2025-03-15 at 100"])
    assert (verdict.due_on, verdict.governs, verdict.due_hours) == (day("2025-03-15"), "calendar", 100)
    assert not is_overdue(verdict, day("2025-03-15"))


def test_replacing_a_diaphragm_settles_looking_at_it_and_not_the_other_way():
    """[R2] Yanmar SD20: inspect at 2 years, replace at 5. New in 2020, replaced in 2025."""
    look, replace = 1, 2
    limbs = {look: rule(every_months=24), replace: rule(every_months=60)}
    intervals = Intervals(limbs, {}, {}, {look: frozenset({look, replace}), replace: frozenset({replace})})
    looked = [(look, Done(day("2022-04-01"))), (look, Done(day("2024-04-01")))]
    replaced = [*looked, (replace, Done(day("2025-03-20")))]

    def due_on(interval, history):
        counting = [str(service.day) for service in intervals.counting(interval, history)]
        return str(judge(facts(limbs[interval], "2020-04-01", *counting)).due_on)

    assert [due_on(look, looked), due_on(replace, looked)] == ["2026-04-01", "2025-04-01"]
    assert [due_on(look, replaced), due_on(replace, replaced)] == ["2027-03-20", "2030-03-20"]
