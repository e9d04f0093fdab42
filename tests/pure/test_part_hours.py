"""Hours that stay with a part when it is moved, or its meter replaced: the sums done by hand.

No outside source: what a meter counts is arithmetic, where a part starts and stops is the design's own.
"""

from decimal import Decimal

import pytest

from fleet.meters.rules import Dial, Timeline
from maintenance.servicing.forecast import Facts, judge
from maintenance.servicing.hours import PartHours, Stay
from tests.pure.by_hand import day, dials, done, rule

PLOUGH, HARROW = 1, 2
METERS = {
    PLOUGH: Timeline.of(dials("2025-05-01 at 100", "2025-06-01 at 150", "2025-06-20 at 165")),
    HARROW: Timeline.of(dials("2025-07-01 at 2000", "2025-08-01 at 2040")),
}
# Fitted at 100 h, taken off on 1 June at 148 h (the boat ran on to 150 that day): 48 h. Fitted to another
# boat on 5 July at 2003 h.
PUMP = PartHours(
    [
        Stay(1, PLOUGH, day("2025-05-01"), Decimal(100), day("2025-06-01"), Decimal(148)),
        Stay(2, HARROW, day("2025-07-05"), Decimal(2003)),
    ],
    METERS,
)


@pytest.mark.parametrize(
    ("when", "dial", "hours"),
    [
        ("2025-04-01", None, 0),  # before it was ever fitted
        ("2025-05-20", "120", 20),  # 120 - 100
        ("2025-06-01", None, 48),  # the day it was taken off: 148 - 100, not what the boat ran on to
        ("2025-06-20", None, 48),  # ashore: the boat has run on, the part has not
        ("2025-07-10", "2010", 55),  # 48 + 2010 - 2003
        ("2025-08-01", None, 85),  # 48 + 2040 - 2003
    ],
)
def test_a_part_keeps_its_hours_from_boat_to_boat(when, dial, hours):
    assert PUMP.at(day(when), dial and Decimal(dial)) == hours


def test_the_hours_shown_are_the_present_meters():
    """Every 100 h, served ashore at its 48 h: due 100 h after the 2003 it began at on the new boat."""
    verdict = judge(Facts(rule(every_hours=100), PUMP, done("2025-06-10")))
    assert (verdict.due_hours, verdict.hours_now) == (2103, 2040)
    never = judge(Facts(rule(every_hours=100), PUMP))
    assert (never.due_hours, never.hours_now) == (2055, 2040)


def test_a_new_meter_starts_again_and_the_total_carries_on():
    """900 h, run on to 960, a new dial at 0, run on to 30: 90 h, of which 60 by the old one."""
    changed = [
        *dials("2025-05-01 at 900", "2025-06-01 at 960"),
        Dial(day("2025-06-01"), Decimal(0), new_meter=True),
        *dials("2025-06-20 at 30"),
    ]
    part = PartHours([Stay(1, PLOUGH, day("2025-05-01"), Decimal(900))], {PLOUGH: Timeline.of(changed)})
    assert [part.at(day(on)) for on in ("2025-05-31", "2025-06-01", "2025-06-20")] == [0, 60, 90]
    assert part.at(day("2025-06-10"), Decimal(12)) == 72, "a dial written down by then is the new meter's"
    verdict = judge(Facts(rule(every_hours=100), part))
    assert (verdict.due_hours, verdict.hours_now) == (1000, 990)
