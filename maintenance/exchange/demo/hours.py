"""What the hour meters of the demo boats showed at each return."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from itertools import count

from maintenance.exchange.demo.cast import Role
from maintenance.exchange.demo.chance import chance
from maintenance.exchange.demo.hires import Hire

TENTH = Decimal("0.1")
LEAST, MOST = 220, 280  # tenths of hours in a charter of a week
TEST_RUN = Decimal("0.6")
SINCE_NEW_ENGINE = 1  # charters that had come back with it


@dataclass(frozen=True, slots=True)
class Shown:
    """A meter's dial on a day; on the day of a new meter, the new one's, `old` the last of the old."""

    day: date
    dial: Decimal
    old: Decimal | None = None


def dials_of(role: Role, meter: str, hires: Sequence[Hire], first: date, today: date) -> list[Shown]:
    """A meter's dials, the latest first, the first day of the records last.

    Hours are drawn by how many charters ago they were run, so that what is left to a service does
    not hang on the day of the week.
    """
    if meter not in role.dials:
        return []
    total = Decimal(role.dials[meter])
    shown = []
    for ago, hire in zip(count(), _returned(hires, today), strict=False):
        shown.append(Shown(hire.ends_on, total))
        total -= _run(role.boat, meter, ago, hire)
    shown.append(Shown(first, total))
    return _with_new_meter(shown) if role.new_engine else shown


def _returned(hires: Sequence[Hire], today: date) -> list[Hire]:
    """The charters whose boat is back and looked at, the latest first: on a Saturday morning those
    of the day are still to come, but for the one that ended outside the turnaround."""
    back = [hire for hire in hires if hire.ends_on < today or _two_weeks(hire, today)]
    return [hire for hire in reversed(back) if not hire.cancelled]


def _two_weeks(hire: Hire, today: date) -> bool:
    return hire.ends_on == today and (hire.ends_on - hire.starts_on).days > 7


def _run(boat: str, meter: str, ago: int, hire: Hire) -> Decimal:
    long = (hire.ends_on - hire.starts_on).days > 7
    return chance("run", boat, meter, ago).randint(LEAST, MOST) * TENTH * (2 if long else 1)


def _with_new_meter(shown: list[Shown]) -> list[Shown]:
    """The dials of a boat that got a new engine at an earlier return: the new meter starts again."""
    at = shown[SINCE_NEW_ENGINE]
    since = [Shown(s.day, s.dial - at.dial + TEST_RUN) for s in shown[:SINCE_NEW_ENGINE]]
    return [*since, Shown(at.day, TEST_RUN, old=at.dial), *shown[SINCE_NEW_ENGINE + 1 :]]
