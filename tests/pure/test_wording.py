"""How days, hours, minutes and reasons are said."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

import pytest

from maintenance.pages import wording

ON = date(2026, 5, 28)
LEAVES, ENDS = date(2026, 5, 30), date(2026, 6, 6)


@dataclass
class Line:
    due_on: date | None = date(2026, 6, 2)
    governs: str | None = "calendar"
    basis: str | None = "dated"
    limit_on: date | None = None
    due_hours: Decimal | None = None
    hours_now: Decimal | None = None
    limit_hours: Decimal | None = None
    hours_a_day: Decimal | None = None
    counted_from: date = date(2025, 6, 2)
    recorded: bool = True
    counting: bool = False
    missing: str = ""


def hours_line(**more) -> Line:
    said = {"governs": "hours", "due_hours": Decimal(1220), "hours_now": Decimal("1190.4")}
    return Line(**said | {"basis": "expected", "hours_a_day": Decimal("3.3333")} | more)


def why(line: Line) -> str:
    return wording.why(line, ON, LEAVES, ENDS)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (None, "–"),
        (Decimal("1212.4"), "1\u202f212.4"),
        (Decimal("1212.00"), "1\u202f212"),
        (Decimal("0.05"), "0.1"),
        (Decimal("-5"), "−5"),
        (Decimal(999999999), "999\u202f999\u202f999"),
        (Decimal(0), "0"),
    ],
)
def test_hours_have_tenths_only_where_there_are_any_and_thousands_together(value, said):
    assert wording.hours(value) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [(None, "–"), (0, "0 min"), (50, "50 min"), (60, "1 h"), (105, "1 h 45"), (485, "8 h 05")],
)
def test_minutes_become_hours_past_sixty(value, said):
    assert wording.minutes(value) == said


@pytest.mark.parametrize(
    ("count", "said"), [(0, "no boats"), (1, "one boat"), (12, "twelve boats"), (13, "13 boats")]
)
def test_small_numbers_are_words(count, said):
    assert wording.many(count, "boat") == said


def test_people_are_not_persons():
    assert wording.many(2, "person", "people") == "two people"


def test_a_day_has_its_year_only_where_it_is_another():
    assert wording.day(date(2026, 5, 30), ON) == "Sat 30 May"
    assert wording.day(date(2027, 5, 30), ON) == "Sun 30 May 2027"
    assert wording.day(None) == "no day"


@pytest.mark.parametrize(("value", "said"), [("4.500", "4.5"), ("10.000", "10"), ("-1", "−1"), ("0", "0")])
def test_a_quantity_has_no_more_digits_than_it_needs(value, said):
    assert wording.quantity(Decimal(value)) == said


def test_a_time_is_hours_and_minutes():
    assert wording.clock(datetime.fromisoformat("2026-05-30T09:05")) == "09:05"


def test_a_job_by_the_calendar_says_since_when():
    assert why(Line()) == "Last done Mon 2 Jun 2025, due Tue 2 Jun by the calendar; inside the next charter"
    assert why(Line(recorded=False)).startswith("Fitted Mon 2 Jun 2025, due")
    assert why(Line(counting=True)).startswith("Counted from Mon 2 Jun 2025, due")


def test_a_job_by_hours_says_how_far_it_is_and_how_fast_she_runs():
    assert why(hours_line()) == (
        "1\u202f190.4 of 1\u202f220 h, about 23.3 h a week out, so expected on Tue 2 Jun; so at sea"
    )


def test_hours_reached_say_by_how_much_they_are_past():
    reached = hours_line(basis="reached", hours_now=Decimal("1226.5"), due_on=date(2026, 5, 23))
    assert why(reached) == "1\u202f226.5 of 1\u202f220 h, past by 6.5 h"
    assert why(hours_line(basis="reached", hours_now=Decimal(1220), due_on=ON)).endswith("h, reached")


def test_hours_expected_past_ask_for_the_meter_to_be_read():
    line = hours_line(due_on=date(2026, 5, 25))
    assert "when last read, expected past since Mon 25 May: read the meter" in why(line)


def test_what_may_run_over_says_how_far():
    assert why(hours_line(limit_hours=Decimal(1230))).endswith("may run over to 1\u202f230 h")
    assert why(Line(limit_on=date(2026, 6, 9))).endswith("may run over to Tue 9 Jun")
    assert "run over" not in why(Line(limit_on=date(2026, 6, 2)))


@pytest.mark.parametrize(
    ("governs", "due_on", "said"),
    [
        ("season", date(2026, 10, 31), "Before the season closes on Sat 31 Oct"),
        ("charters", date(2026, 5, 30), "For the charter that goes out on Sat 30 May"),
        ("expiry", date(2026, 5, 27), "The printed date ended on Wed 27 May"),
        ("expiry", date(2026, 5, 28), "The printed date ends on Thu 28 May"),
    ],
)
def test_each_limb_has_its_own_reason(governs, due_on, said):
    assert why(Line(governs=governs, due_on=due_on)) == said


@pytest.mark.parametrize(
    ("missing", "said"),
    [
        ("reading", "No hour reading or past charter to judge by"),
        ("charter expiry", "No charter booked that reaches it and no date printed"),
        ("", ""),
    ],
)
def test_a_line_without_a_day_says_what_it_lacks(missing, said):
    assert why(Line(due_on=None, governs=None, basis=None, missing=missing)) == said


def test_a_sentence_begins_with_a_capital_and_an_empty_one_stays_empty():
    assert wording.sentence("one boat.") == "One boat."
    assert wording.sentence("") == ""
