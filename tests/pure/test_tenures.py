"""Days without anybody in a role, told from who holds it when."""

from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fleet.people.rules import Tenure, first_day_without

TODAY = date(2026, 5, 28)
DAYS = st.integers(-20, 40).map(lambda n: TODAY + timedelta(days=n))
LENGTHS = st.none() | st.integers(0, 40)


def tenure(first: date, length: int | None) -> Tenure:
    return Tenure(first, None if length is None else first + timedelta(days=length))


TENURES = st.lists(st.builds(tenure, DAYS, LENGTHS), max_size=6)


@pytest.mark.parametrize(
    ("tenures", "gap"),
    [
        ([], TODAY),
        ([(TODAY, None)], None),
        ([(TODAY + timedelta(days=1), None)], TODAY),
        ([(date(2020, 1, 1), date(2026, 5, 31))], date(2026, 6, 1)),
        ([(date(2026, 6, 1), None), (date(2020, 1, 1), date(2026, 5, 31))], None),
        ([(date(2026, 6, 2), None), (date(2020, 1, 1), date(2026, 5, 31))], date(2026, 6, 1)),
        ([(date(2020, 1, 1), date(2026, 5, 27))], TODAY),
    ],
)
def test_the_first_day_nobody_covers(tenures, gap):
    assert first_day_without([Tenure(*t) for t in tenures], TODAY) == gap


# A busy machine draws slowly: that is no finding.
@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(TENURES)
def test_it_is_the_day_that_going_through_the_calendar_finds(tenures):
    """Day by day to a day after which nothing begins or ends."""

    def covered(day: date) -> bool:
        return any(t.from_on <= day and (t.until_on is None or day <= t.until_on) for t in tenures)

    calendar = (TODAY + timedelta(days=n) for n in range(90))
    assert first_day_without(tenures, TODAY) == next((d for d in calendar if not covered(d)), None)
