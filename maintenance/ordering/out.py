"""How many days a base's boats were out, and will be: the time in which parts break."""

from bisect import bisect_left
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from fleet.charters.models import Charter


@dataclass(frozen=True, slots=True)
class BoatDays:
    """Every day a boat of the base's is out, in order; a day on which three are stands three times."""

    days: tuple[int, ...]

    def between(self, first: date, last: date) -> int:
        """Boat-days from a day up to, not including, another."""
        return bisect_left(self.days, last.toordinal()) - bisect_left(self.days, first.toordinal())


def boat_days(boats: Collection[int], *, since: date, until: date) -> BoatDays:
    """The days these boats are hired out between two days; one query. A charter covers its days up to,
    not including, the last."""
    rows = Charter.objects.filter(boat__in=boats, cancelled_at=None, starts_on__lt=until, ends_on__gt=since)
    days = [
        day
        for starts, ends in rows.values_list("starts_on", "ends_on")
        for day in range(max(starts, since).toordinal(), min(ends, until).toordinal())
    ]
    return BoatDays(tuple(sorted(days)))
