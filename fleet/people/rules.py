"""Whether a base keeps a manager on every day to come. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Tenure:
    """The days somebody holds a role, first and last counted; None: until further notice."""

    from_on: date
    until_on: date | None


def first_day_without(tenures: Iterable[Tenure], day: date) -> date | None:
    """The first day from `day` on that nobody covers; None where every day is covered."""
    for tenure in sorted(tenures, key=lambda t: t.from_on):
        if tenure.from_on > day:
            return day
        if tenure.until_on is None:
            return None
        day = max(day, tenure.until_on + timedelta(days=1))
    return day
