"""The hours a component has run, over every place it has been. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property

from fleet.meters.rules import Timeline

NO_READINGS = Timeline(())


@dataclass(frozen=True, slots=True)
class Stay:
    """One place a component has been; `dial` and `dial_removed` are hours noted then."""

    boat: int
    meter: int | None
    fitted_on: date
    dial: Decimal | None = None
    removed_on: date | None = None
    dial_removed: Decimal | None = None


@dataclass(frozen=True)
class PartHours:
    """Hours counted on a component: the sum over its stays of what each meter ran meanwhile."""

    stays: Sequence[Stay]
    timelines: Mapping[int, Timeline]

    @property
    def present(self) -> Stay:
        return self.stays[-1]

    @cached_property
    def timeline(self) -> Timeline:
        """The meter at the present place; empty without a meter or a reading."""
        return self._timeline(self.present)

    @cached_property
    def _before(self) -> list[Decimal]:
        """Hours it had when each stay began."""
        sums = [Decimal(0)]
        for stay in self.stays[:-1]:
            sums.append(sums[-1] + self._run(stay))
        return sums

    @cached_property
    def carried(self) -> Decimal:
        """What is added to the hours counted to make the present meter's total."""
        return self._total(self.present, self.present.fitted_on, self.present.dial) - self._before[-1]

    def at(self, day: date, dial: Decimal | None = None, meter: int | None = None) -> Decimal:
        """Hours counted on a day, by the dial noted that day or the day's total; while it is
        ashore between two places, those it had when removed. `meter` is the one the dial was read
        on: on the day of a move it may be the old place's."""
        n = sum(stay.fitted_on <= day for stay in self.stays) - 1
        if n < 0:
            return Decimal(0)
        stay = self.stays[n]
        if dial is not None and meter not in (None, stay.meter):
            return self._at_place_left(day, dial, meter)
        if stay.removed_on is not None and stay.removed_on <= day:
            return self._before[n] + self._run(stay)
        return self._before[n] + self._total(stay, day, dial) - self._total(stay, stay.fitted_on, stay.dial)

    def _at_place_left(self, day: date, dial: Decimal, meter: int | None) -> Decimal:
        """By a dial read the day it left a place; by the day's total where it was never there."""
        for n, stay in enumerate(self.stays):
            if stay.meter == meter and stay.removed_on == day:
                start = self._total(stay, stay.fitted_on, stay.dial)
                return self._before[n] + self._total(stay, day, dial) - start
        return self.at(day)

    def _run(self, stay: Stay) -> Decimal:
        """What a stay that has ended, or goes on, added."""
        if stay.removed_on is None:
            return Decimal(0)
        stop = self._total(stay, stay.removed_on, stay.dial_removed)
        return stop - self._total(stay, stay.fitted_on, stay.dial)

    def _total(self, stay: Stay, day: date, dial: Decimal | None) -> Decimal:
        timeline = self._timeline(stay)
        if not timeline:
            return Decimal(0)
        return timeline.total_on(day) if dial is None else timeline.total_of(day, dial)

    def _timeline(self, stay: Stay) -> Timeline:
        if stay.meter is None:
            return NO_READINGS
        return self.timelines.get(stay.meter, NO_READINGS)
