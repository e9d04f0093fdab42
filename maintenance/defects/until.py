"""When a deferral ends, as people choose it: next turnaround, a day, days, charters, the lay-up. Pure."""

from dataclasses import dataclass
from datetime import date

from maintenance.defects.rules import last_day

DAYS_OFFERED = (*range(1, 15), 21, 28, 30, 45, 60, 90, 120)


@dataclass(frozen=True, slots=True)
class Until:
    """When a deferral ends: at the first of those given."""

    day: date | None = None
    charters: int | None = None
    layup: bool = False


def next_turnaround(*, out: bool) -> Until:
    """Until the hours between this charter and the next: where she is out, those after this one, so
    that she does not go out with it again; where she is in, those after the charter that comes."""
    return Until(charters=0 if out else 1)


def after_charters(count: int, *, left_today: bool = False) -> Until:
    """After so many charters more; the one that went out today already is counted from tomorrow on, so
    it comes on top."""
    return Until(charters=count + (1 if left_today else 0))


def counted_days(found_on: date, days: int) -> Until:
    """So many calendar days from discovery, the day of discovery left out."""
    return Until(day=last_day(found_on, days))


def days_offered(found_on: date, on: date) -> list[tuple[int, date]]:
    """The numbers of days to choose from, each with its last day; those past already are left out."""
    found = [(days, last_day(found_on, days)) for days in DAYS_OFFERED]
    return [(days, last) for days, last in found if last >= on]
