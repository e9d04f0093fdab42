"""Points a fixed step apart, and where the next one lies after each service. Pure.

`from_due` keeps the grid when a service comes late or not too early and starts it again when it
comes earlier than that; else every service starts it again (Rotax 912 line maintenance manual
05-20-00: every 100 h within 10 h, done at 110 gives 200, at 87 gives 187).
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import Generic, TypeVar

from maintenance.servicing.calendar import add_months, next_step

Step = TypeVar("Step", int, Decimal)


@dataclass(frozen=True, slots=True)
class Grid(Generic[Step]):
    """Every so often, with one extra first point ahead of the grid; either may be blank."""

    every: Step | None
    first: Step | None
    from_due: bool


def months_point(grid: Grid[int], fitted_on: date, services: Iterable[date], early: timedelta) -> date | None:
    """The next point in months; None where the limb is not there or has ended."""
    start = grid.every if grid.first is None else grid.first
    if start is None:
        return None
    origin, point = fitted_on, add_months(fitted_on, start)
    for day in services:
        if grid.every is None:
            return None
        if grid.from_due and day >= point - early:
            point = next_step(origin, grid.every, max(point, day))
        else:
            origin, point = day, add_months(day, grid.every)
    return point


def hours_point(
    grid: Grid[Decimal], services: Iterable[Decimal], early: Decimal, start: Decimal = Decimal(0)
) -> Decimal | None:
    """The next point in hours since the first fitting; None where there is none or no more. `start`
    is where counting begins."""
    first = grid.every if grid.first is None else grid.first
    if first is None:
        return None
    origin, point = start, start + first
    for hours in services:
        if grid.every is None:
            return None
        if grid.from_due and hours >= point - early:
            point = origin + grid.every * ((max(point, hours) - origin) // grid.every + 1)
        else:
            origin, point = hours, hours + grid.every
    return point
