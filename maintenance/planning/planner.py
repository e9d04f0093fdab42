"""Work against the time there is: a boat's gap ashore, a day's minutes. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True)
class Gap:
    """The time a boat lies ashore before she leaves, in the base's local time."""

    back: datetime | None
    leaves: datetime
    today: date | None = None  # days of hers ashore that have gone by are not counted

    def minutes(self, workday: int) -> int | None:
        """Minutes there are for one job: those between, or a working day for each night ashore;
        None where she has been ashore all along."""
        if self.back is None:
            return None
        begins = max(self.back.date(), self.today or self.back.date())
        nights = (self.leaves.date() - begins).days
        if nights > 0 or begins > self.back.date():
            return max(nights, 1) * workday
        return max(int((self.leaves - self.back).total_seconds()) // 60, 0)

    def fits(self, longest: int, workday: int) -> bool:
        """Whether the longest single job can be done before she leaves."""
        there = self.minutes(workday)
        return there is None or longest <= there


@dataclass(frozen=True, slots=True)
class DayLoad:
    """A day's work against the people there, all in minutes."""

    people: int
    workday: int
    boats: int
    boat_minutes: int
    work: int

    @property
    def there(self) -> int:
        return self.people * self.workday

    @property
    def fixed(self) -> int:
        """What the boats in and out take anyway."""
        return self.boats * self.boat_minutes

    @property
    def left(self) -> int:
        return max(self.there - self.fixed, 0)

    @property
    def lacking(self) -> int:
        """What work and boats together take beyond the people there; 0 where it fits."""
        return max(self.work + self.fixed - self.there, 0)

    @property
    def over(self) -> bool:
        return self.lacking > 0

    @property
    def share(self) -> int:
        """Work as a percentage of what is left, 100 at most."""
        if self.left == 0:
            return 100 if self.work else 0
        return min(round(100 * self.work / self.left), 100)


def total(minutes: Iterable[int | None]) -> int:
    """The minutes of jobs; one whose time nobody wrote down counts as none."""
    return sum(m or 0 for m in minutes)
