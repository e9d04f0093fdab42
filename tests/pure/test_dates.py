"""Dates as makers print them. Month only is good to the month's last day: section 4 of the design."""

from datetime import date

import pytest

from fleet.boats.dates import WANTED, DateNotClear, good_through, last_day_of_month


@pytest.mark.parametrize(
    ("written", "day"),
    [
        ("2027-06-15", date(2027, 6, 15)),
        ("2027-06", date(2027, 6, 30)),
        ("2028-02", date(2028, 2, 29)),
        ("2027-2", date(2027, 2, 28)),
        ("12/2027", date(2027, 12, 31)),
        ("06.2027", date(2027, 6, 30)),
        ("  2027-06  ", date(2027, 6, 30)),
    ],
)
def test_a_printed_date_is_good_to_its_day_or_its_months_last(written, day):
    assert good_through(written) == day


@pytest.mark.parametrize(
    "written",
    [
        "03/04/2026",  # the 3rd of April or the 4th of March
        "4/1/2017",
        "2007",
        "Exp. Date October '16",
        "LED Bulb 2022",
        "2027-13",
        "00/2027",
        "2027-02-30",
        "0000-01-01",
        "27-06-2027",
        "06/27",
        "",
        "٢٠٢٧-٠٦-١٥x",
    ],
)
def test_a_date_that_could_mean_several_days_or_none_is_asked_about(written):
    with pytest.raises(DateNotClear, match="wanted a day such as"):
        good_through(written)


def test_what_is_wanted_is_said_with_an_example_that_is_itself_understood():
    for example in ("2027-06-15", "2027-06", "06/2027"):
        assert example in WANTED
        assert good_through(example)


def test_a_month_of_a_year_has_its_last_day():
    assert last_day_of_month(2100, 2) == date(2100, 2, 28)
    with pytest.raises(ValueError, match="month"):
        last_day_of_month(2027, 13)
