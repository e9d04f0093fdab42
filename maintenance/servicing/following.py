"""What follows for the due list when something changed: which days moved, and by how much."""

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from django.db import transaction

from maintenance.servicing.actions import boats_resting_on, forecast_boats
from maintenance.servicing.models import Due

Key = tuple[int, int]
Named = tuple[date | None, tuple[str, str, str]]


@dataclass(frozen=True, slots=True)
class Moved:
    """One line whose due day is another than before; None where it has none."""

    boat: str
    component: str
    task: str
    before: date | None
    after: date | None

    @property
    def days(self) -> int | None:
        """Days later (below zero: earlier); None where one of the two is not a day."""
        if self.before is None or self.after is None:
            return None
        return (self.after - self.before).days

    def as_json(self) -> dict[str, Any]:
        said = asdict(self) | {"days": self.days}
        return said | {k: said[k] and said[k].isoformat() for k in ("before", "after")}


@contextmanager
def due_list_follows(boats: Iterable[int], *, on: date) -> Iterator[list[Moved]]:
    """One story: what is written inside is kept together with the due lines that follow from it.

    The list it gives is filled with the lines whose day moved once the block is left.
    """
    moved: list[Moved] = []
    with transaction.atomic():
        touched = set(boats)
        before = _days(_resting(touched))
        yield moved
        after_boats = _resting(touched)
        forecast_boats(after_boats, on=on)
        moved += _moved(before, _days(after_boats))


def _resting(boats: Iterable[int]) -> list[int]:
    return sorted({other for boat in boats for other in boats_resting_on(boat)})


def _days(boats: list[int]) -> dict[Key, Named]:
    rows = Due.objects.filter(boat__in=boats).values_list(
        "component_id", "interval_id", "due_on", "boat__name", "component__code", "interval__task"
    )
    return {(c, i): (day, (boat, component, task)) for c, i, day, boat, component, task in rows}


def _moved(before: dict[Key, Named], after: dict[Key, Named]) -> list[Moved]:
    found = [
        Moved(boat, component, task, before[key][0], day)
        for key, (day, (boat, component, task)) in after.items()
        if key in before and before[key][0] != day
    ]
    return sorted(found, key=lambda m: (m.after or date.max, m.boat, m.component, m.task))
