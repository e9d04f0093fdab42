"""The due list of any day: today's as stored, any other derived afresh."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from fleet.bases.models import Base
from fleet.boats.models import Boat, Component
from fleet.charters.models import Charter
from maintenance.servicing.actions import derive
from maintenance.servicing.forecast import is_before_handover, is_overdue
from maintenance.servicing.models import Due, ServiceInterval
from maintenance.servicing.rates import in_batches, usual_rates


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the list; hours are totals of the present meter."""

    boat: str
    component: str
    kind: str
    interval: str
    task: str
    due_on: date | None
    governs: str | None
    basis: str | None
    limit_on: date | None
    due_hours: Decimal | None
    hours_now: Decimal | None
    overdue: bool
    before_handover: bool
    recorded: bool
    missing: tuple[str, ...]

    @property
    def hours_left(self) -> Decimal | None:
        if self.due_hours is None or self.hours_now is None:
            return None
        return self.due_hours - self.hours_now

    def in_list(self, until: date) -> bool:
        """Overdue, due by a day, or to be done before the next handover."""
        soon = self.due_on is not None and self.due_on <= until
        return self.overdue or self.before_handover or soon


def due_lines(
    *, on: date, today: date, base: str | None = None, boat: str | None = None, days: int | None = 7
) -> list[Line]:
    """Lines sorted by day (none last), boat, component and interval; all where `days` is None."""
    boats = _boats(on, base, boat)
    names = _Names.known(on)
    lines = [names.line(row, on) for row in (_stored(boats) if on == today else fresh_rows(boats, on))]
    if days is not None:
        lines = [line for line in lines if line.in_list(on + timedelta(days=days))]
    return sorted(lines, key=_order)


def _order(line: Line) -> tuple[bool, date, str, str, str]:
    return line.due_on is None, line.due_on or date.max, line.boat, line.component, line.interval


def _boats(on: date, base: str | None, boat: str | None) -> list[int]:
    boats = Boat.objects.all()
    if base is not None:
        boats = boats.of_base(Base.objects.get(code=base).pk, on)
    if boat is not None:
        boats = boats.filter(code=boat)
    return list(boats.values_list("pk", flat=True))


def _stored(boats: list[int]) -> Iterator[Due]:
    for batch in in_batches(boats):
        yield from Due.objects.filter(boat__in=batch)


def fresh_rows(boats: Collection[int], on: date) -> Iterator[Due]:
    """Lines of boats derived for a day with the rates of that day, unsaved."""
    rates = usual_rates(on)
    for batch in in_batches(boats):
        yield from derive(batch, on, rates)


@dataclass(frozen=True, slots=True)
class _Names:
    """What the keys of due rows are called, and when each boat's next charter ends."""

    boats: dict[int, str]
    components: dict[int, tuple[str, str]]
    intervals: dict[int, tuple[str, str]]
    next_ends: dict[int, date]

    @classmethod
    def known(cls, on: date) -> "_Names":
        components = Component.objects.values_list("pk", "code", "kind__code")
        intervals = ServiceInterval.objects.values_list("pk", "code", "task")
        ends: dict[int, date] = {}
        for boat, ends_on in Charter.objects.next_from(on).values_list("boat_id", "ends_on"):
            ends.setdefault(boat, ends_on)
        return cls(
            boats=dict(Boat.objects.values_list("pk", "code")),
            components={pk: (code, kind) for pk, code, kind in components},
            intervals={pk: (code, task) for pk, code, task in intervals},
            next_ends=ends,
        )

    def line(self, row: Due, on: date) -> Line:
        component, kind = self.components[row.component_id]
        interval, task = self.intervals[row.interval_id]
        return Line(
            boat=self.boats[row.boat_id],
            component=component,
            kind=kind,
            interval=interval,
            task=task,
            due_on=row.due_on,
            governs=row.governs,
            basis=row.basis,
            limit_on=row.limit_on,
            due_hours=row.due_hours,
            hours_now=row.hours_now,
            overdue=is_overdue(row, on),
            before_handover=is_before_handover(row, self.next_ends.get(row.boat_id)),
            recorded=row.recorded,
            missing=tuple(row.missing.split()),
        )
