"""What a printed date may mean, nothing guessed: one day, several, or none."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.boats.dates import AS_PRINTED, last_day_of_month, meanings, spoken


def days(written: str) -> list[date]:
    return [meaning.day for meaning in meanings(written)]


def asked(written: str) -> bool:
    """Whether it is asked about before anything is recorded."""
    return bool(meanings(written)) and not any(meaning.sure for meaning in meanings(written))


@pytest.mark.parametrize(
    "written",
    [
        "2027-06-15",  # ISO 8601-1:2019, 5.2.2.1, extended format (from memory)
        "2027/6/15",
        "15 Jun 2027",
        "15 JUNE 2027",
        "15th June, 2027",
        "15JUN2027",
        "JUN 15, 2027",
        "2027 JUN 15",
        "15.6.2027",
        "06/15/2027",
        "EXP 15/06/2027",
        "Valid until: 15 Jun 2027",
        " 15 juin 2027 ",
        "15 GIU 2027",
    ],
)
def test_a_whole_date_that_can_be_read_one_way_is_one_day_and_not_asked_about(written):
    assert days(written) == [date(2027, 6, 15)]
    assert not asked(written)


@pytest.mark.parametrize("written", ["2027-06", "06/2027", "6.2027", "6.27", "JUN 2027", "Jun '27", "202706"])
def test_a_month_alone_is_good_to_its_last_day_and_asked_about(written):
    """DESIGN.md section 4: "month only (2027-06) is good to the month's last day"."""
    assert days(written) == [date(2027, 6, 30)]
    assert meanings(written)[0].said == "good through Wed 30 Jun 2027"
    assert asked(written)


@pytest.mark.parametrize(
    ("written", "wanted"),
    [
        ("03/04/2027", [date(2027, 4, 3), date(2027, 3, 4)]),
        ("3.4.2027", [date(2027, 4, 3), date(2027, 3, 4)]),
        ("15 JUN 27", [date(2027, 6, 15), date(2015, 6, 27)]),
        ("03/04/27", [date(2027, 4, 3), date(2027, 3, 4), date(2003, 4, 27)]),
        ("27-06-15", [date(2015, 6, 27), date(2027, 6, 15)]),
        ("06/07", [date(2007, 6, 30), date(2006, 7, 31)]),
        ("05/05/27", [date(2027, 5, 5), date(2005, 5, 27)]),
    ],
)
def test_what_can_mean_several_days_is_asked_about_each_said_apart(written, wanted):
    assert days(written) == wanted
    assert asked(written)
    assert len({meaning.said for meaning in meanings(written)}) == len(wanted)


def test_both_orders_of_one_day_are_one_day():
    assert days("05/05/2027") == [date(2027, 5, 5)]
    assert not asked("05/05/2027")


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("1999-05-01", "long ago"),
        ("15 Jun 2099", "far off"),
        ("06/99", "long ago"),
    ],
)
def test_a_year_long_ago_or_far_off_is_asked_about(written, said):
    assert asked(written)
    assert meanings(written)[0].said.endswith(said)


@pytest.mark.parametrize(
    "written",
    [
        "",
        "31/02/2027",
        "2027-02-29",
        "2027-13",
        "00/2027",
        "2027",
        "27 JUN",
        "MFG 06/2024",  # a day of making is no expiry
        "LOT 2027",
        "LED Bulb 2022",
        "1212.4",
        "0000-01-01",
        "9999-12-31",
        "٢٠٢٧-٠٦-١٥",
        "=2027-06-15",
        "06/2027 06/2028",
        "<b>06/2027</b>",
        "9" * 60,
    ],
)
def test_what_can_be_no_date_means_nothing(written):
    assert meanings(written) == ()


def test_what_is_wanted_is_said_with_examples_that_are_themselves_understood():
    for example in ("2027-06-15", "15 Jun 2027", "06/2027", "Jun 2027"):
        assert example in AS_PRINTED
        assert days(example)


@given(st.dates(date(2005, 1, 1), date(2060, 12, 31)))
def test_every_day_written_whole_is_read_back(day):
    for written in (day.isoformat(), f"{day.day} {day:%b %Y}".upper(), f"{day:%B} {day.day}, {day.year}"):
        assert meanings(written) == (type(meanings(written)[0])(day, f"good through {spoken(day)}", True),)
    assert day in days(f"{day:%d/%m/%Y}")
    assert day in days(f"{day:%m/%d/%y}")


@given(st.dates(date(2005, 1, 1), date(2060, 12, 31)))
def test_a_month_is_never_taken_for_one_of_its_days_unasked(day):
    for written in (f"{day:%m/%Y}", f"{day:%b %Y}", f"{day:%Y-%m}", f"{day:%m.%y}"):
        assert last_day_of_month(day.year, day.month) in days(written)
        assert asked(written)


@given(st.text(max_size=60))
def test_nothing_typed_breaks_it(written):
    assert all(isinstance(meaning.day, date) for meaning in meanings(written))
