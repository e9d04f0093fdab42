"""What follows for the due list when something changed: which days moved, and by how much."""

from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django.db import transaction

from fleet.bases.facts import latest_day
from fleet.bases.turns import take_turn
from fleet.boats.models import Fitting
from maintenance.servicing.actions import boats_resting_on, forecast_boats
from maintenance.servicing.models import Due

Key = tuple[int, int]
Named = tuple[date | None, tuple[str, str, str]]


@dataclass(frozen=True, slots=True)
class Moved:
    """One line whose due day is another than before; None where it has none."""

    boat: str
    thing: str
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
def due_list_follows(boats: Iterable[int], *, at: datetime) -> Iterator[list[Moved]]:
    """One story: what is written inside is kept together with the due lines that follow from it.

    The list it gives is filled with the lines whose day moved once the block is left.
    """
    moved: list[Moved] = []
    with transaction.atomic():
        take_turn()
        touched = set(boats)
        before = _days(_resting(touched))
        yield moved
        after_boats = _resting(touched)
        forecast_boats(after_boats, on=latest_day(at))
        moved += _moved(before, _days(after_boats))


def _resting(boats: Iterable[int]) -> list[int]:
    return sorted({other for boat in boats for other in boats_resting_on(boat)})


def _days(boats: list[int]) -> dict[Key, Named]:
    rows = Due.objects.filter(boat__in=boats).values_list(
        "component_id", "interval_id", "due_on", "boat__name", "component__kind__name", "interval__task"
    )
    places = positions(boats)
    return {
        (component, interval): (day, (boat, _thing(kind, places.get(component, "")), task))
        for component, interval, day, boat, kind, task in rows
    }


def positions(boats: Collection[int]) -> dict[int, str]:
    """Where aboard each thing fitted to boats is."""
    rows = Fitting.objects.standing().filter(boat__in=boats, removed_on__isnull=True)
    return dict(rows.exclude(position="").values_list("component_id", "position"))


def _thing(kind: str, position: str) -> str:
    return f"{kind}, {position}" if position else kind


def _moved(before: dict[Key, Named], after: dict[Key, Named]) -> list[Moved]:
    found = [
        Moved(boat, thing, task, before[key][0], day)
        for key, (day, (boat, thing, task)) in after.items()
        if key in before and before[key][0] != day
    ]
    return sorted(found, key=lambda m: (m.after or date.max, m.boat, m.thing, m.task))
