"""Three makers' published tables on invented boats, loaded as a base would, against a list worked by hand.

The intervals, each with its manual and page in the `source` column of fixtures/makers/intervals.csv:

- Yanmar 3YM30E operation manual p. 37, p. 46: impeller, belt (even if no crack) and mounts every
  1000 h or 4 years, whichever first.
- Beta 43/50/60 operator's manual p. 32: oil and filter after the first 50 h, then every year or 250 h
  if sooner; shallow sumps every 150 h.
- Westerbeke 3.5/6.5 SBCG manuals 1412842 p. 24, 1075316 p. 21: oil and filter first 50 h, then 100 h;
  exhaust first 50 h, then 250 h; fuel filter, heat exchanger, mounts 250 h or a year; raw-water pump
  500 h or a year; coolant and valve clearances 500 h or 2 years; catalyst 2000 h.

Boats, readings, services and charters are invented. How an expected reading becomes a day has no
outside source: it is the design's own rule, worked out below.
"""

import csv
from datetime import UTC, date, datetime
from fractions import Fraction

import pytest

from maintenance.servicing.listing import due_lines
from maintenance.servicing.models import Due
from maintenance.servicing.rates import usual_rates
from tests.conftest import FIXTURES

MAKERS = FIXTURES / "makers"
ON = date(2026, 5, 15)  # a Friday; the boats leave the day after
LATER = datetime(2026, 5, 20, 12, tzinfo=UTC)
SAME_DAY = datetime(2026, 5, 15, 12, tzinfo=UTC)

# Hours a charter day. S and D run from the first reading of the year before the last one:
#   Dunlin      2025-06-06  800 to 2026-05-09  968: S 168, D  7 +  7 +  7 + 7 = 28
#   Whimbrel    2025-05-24  300 to 2026-05-09  412: S 112, D  7 +  7 +  7 + 7 = 28
#   Sanderling  2025-05-10   50 to 2026-05-09  338: S 288, D  7 + 14 + 14 + 7 = 42
#   Knot        2025-05-31  248 to 2026-05-09  380: S 132, D 14 + 14 +  7 + 7 = 42
#   Turnstone   2025-09-20  180 to 2026-04-25  210: D 0, so she says nothing of a charter day
# The base's m = (168 + 112 + 288 + 132) / (28 + 28 + 42 + 42) = 700 / 140 = 5, and r = (S + 14 m) / (D + 14):
#   Dunlin 238 / 42 = 5.67   Whimbrel 182 / 42 = 4.33   Sanderling 358 / 56 = 6.39   Knot 202 / 56 = 3.61
#   Turnstone 5, the base's
# Charter days booked from the last reading on: Dunlin 7 + 7, Turnstone 7, Whimbrel 7 + 7 + 7 + 7,
# Sanderling 7 + 7 + 7 (one is cancelled), Knot 14 + 14.
# The next charter ends: Dunlin, Whimbrel and Sanderling 05-23, Knot 05-30, Turnstone 06-06.
HOURS_NOW = {"dunlin": 968, "turnstone": 210, "whimbrel": 412, "sanderling": 338, "knot": 380}

# component, interval | due on, governs | due hours, left | Overdue, Before handover, Recorded | missing
BY_HAND = [
    # Never looked at. A year from 2024-05-04; 250 h passed between 05-31 (248) and 06-28 (296), later.
    ("knot-mounts", "generator-mounts", "2025-05-04", "calendar", 250, -130, "O B", ""),
    # Last at 248: 348 next (248 + 100), first shown on 09-13 (362); on 07-26 it was 340.
    ("knot-oil", "generator-oil", "2025-09-13", "hours, reached", 348, -32, "O B R", ""),
    # Two years from 2024-05-04. 120 h left at 3.61 are 34 charter days, 28 are booked.
    ("knot-coolant", "generator-coolant", "2026-05-04", "calendar", 500, 120, "O B", "charter"),
    # Four years from 2022-05-07. 790 h left at 5 are 158 charter days, 7 are booked.
    ("turnstone-mounts", "mounts-replace", "2026-05-07", "calendar", 1000, 790, "O B", "charter"),
    # First 50 h done at 50, which is an oil change all the same: 200, done at 200: 350.
    # 12 h left at 6.39 are 2 charter days: 16th and 17th.
    ("sanderling-oil", "oil-change-shallow", "2026-05-17", "hours, expected", 350, 12, "B R", ""),
    # 32 h left at 5.67 are 6 charter days from the 16th: the 21st. Four years would be 06-04.
    ("dunlin-belt", "belt-replace", "2026-05-21", "hours, expected", 1000, 32, "B", ""),
    # First 50 h done at 52, then at 300: 550 or 05-24, the day after the next charter is back.
    # 138 h left at 4.33 are 32 charter days, 28 are booked.
    ("whimbrel-oil", "oil-change", "2026-05-24", "calendar", 550, 138, "R", "charter"),
    # Done a year ago with no hours noted: the reading of 04-26 holds, 230 + 250 = 480. 100 h left at 3.61
    # are 28 charter days, just booked, but that is 06-26; the year is over two days before she is back.
    ("knot-heat-exchanger", "generator-heat-exchanger", "2026-05-28", "calendar", 480, 100, "B R", ""),
    # 248 + 250 = 498; 118 h left at 3.61 are 33 charter days. The year is over the day after she is back.
    ("knot-fuel-filter", "generator-fuel-filter", "2026-05-31", "calendar", 498, 118, "R", "charter"),
    # The shallow sump's change at 200 counts for this one too: 450 or 07-19. 112 h left at 6.39 are 18
    # charter days: 7 to 05-22, 7 to 06-05, and the fourth of the charter from 06-06.
    ("sanderling-oil", "oil-change", "2026-06-09", "hours, expected", 450, 112, "R", ""),
    # 48 + 500 = 548 or two years from 2024-06-15. 168 h left at 3.61 are 47 charter days.
    ("knot-valves", "generator-valves", "2026-06-15", "calendar", 548, 168, "R", "charter"),
    # 362 + 500 = 862 or a year from 2026-04-18.
    ("knot-raw-water-pump", "generator-raw-water-pump", "2027-04-18", "calendar", 862, 482, "R", "charter"),
    # 560 + 1000 = 1560 or four years from 2024-05-18.
    ("dunlin-impeller", "impeller-replace", "2028-05-18", "calendar", 1560, 592, "R", "charter"),
    # Hours alone, and more of them than are booked: no day.
    ("knot-catalyst", "generator-catalyst", None, None, 2000, 1620, "", "charter"),
    # First 50 h done at 48, then at 340: 590; 210 h left at 3.61 are 59 charter days.
    ("knot-exhaust", "generator-exhaust", None, None, 590, 210, "R", "charter"),
]


def said(line):
    """A line in the form of the list above."""
    flags = {"O": line.overdue, "B": line.before_handover, "R": line.recorded}
    return (
        line.component,
        line.interval,
        line.due_on and line.due_on.isoformat(),
        f"hours, {line.basis}" if line.governs == "hours" else line.governs,
        line.due_hours,
        line.hours_left,
        " ".join(flag for flag, is_so in flags.items() if is_so),
        " ".join(line.missing),
    )


def test_the_due_list_of_three_makers_tables_is_the_one_worked_by_hand(load):
    load(MAKERS, at=LATER)
    lines = due_lines(on=ON, today=LATER.date(), days=None)
    assert [said(line) for line in lines] == BY_HAND
    assert [line.hours_now for line in lines] == [HOURS_NOW[line.boat] for line in lines]
    assert {line.basis for line in lines if line.governs == "calendar"} == {"dated"}
    assert all(line.limit_on == line.due_on for line in lines), "none of the three lets it run over"


def test_on_the_day_itself_the_stored_list_is_the_same(load):
    load(MAKERS, at=SAME_DAY)
    assert Due.objects.count() == len(BY_HAND)
    assert [said(line) for line in due_lines(on=ON, today=ON, days=None)] == BY_HAND


def test_the_base_runs_five_hours_a_charter_day(load):
    load(MAKERS, at=LATER)
    assert set(usual_rates(ON).values()) == {Fraction(5)}


@pytest.mark.parametrize(("days", "until"), [(0, "2026-05-15"), (7, "2026-05-22"), (16, "2026-05-31")])
def test_the_short_list_is_what_is_overdue_soon_due_or_before_handover(load, days, until):
    load(MAKERS, at=LATER)
    wanted = [line for line in BY_HAND if "O" in line[6] or "B" in line[6] or (line[2] or "9999") <= until]
    lines = due_lines(on=ON, today=LATER.date(), days=days)
    assert [said(line) for line in lines] == wanted


def test_every_interval_cites_its_maker_its_manual_and_the_page():
    with (MAKERS / "intervals.csv").open(encoding="utf-8", newline="") as lines:
        sources = [row["source"] for row in csv.DictReader(lines)]
    makers = {"Yanmar 3YM30E": 3, "Beta 43/50/60": 2, "Westerbeke 3.5/6.5 SBCG": 9}
    assert len(sources) == sum(makers.values())
    for maker, count in makers.items():
        cited = [source for source in sources if source.startswith(maker)]
        assert len(cited) == count
        assert all("manual" in source and " p. " in source for source in cited)


def test_the_makers_names_stand_nowhere_but_beside_the_intervals():
    """Boats, people, kinds and tasks are invented or plain words."""
    makers = ("yanmar", "3ym", "beta", "westerbeke", "sbcg")
    for path in MAKERS.glob("*.csv"):
        with path.open(encoding="utf-8", newline="") as lines:
            rows = [row | {"source": ""} for row in csv.DictReader(lines)]
        assert rows
        assert not [maker for maker in makers if maker in str(rows).lower()], path.name
