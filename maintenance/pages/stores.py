"""The places of a base where parts lie: its stores down to shelf and box, and aboard its boats."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q

from fleet.boats.models import Boat, Place
from fleet.pages.desk import Desk


@dataclass(frozen=True, slots=True)
class Stores:
    """A base's places by key, those aboard its boats among them; `astray` is where its book has what is
    looked for."""

    places: dict[int, Place]
    _paths: dict[int, str] = field(default_factory=dict)

    def path(self, place: Place) -> str:
        """Store, A1, Box 3; aboard, her name first where the place does not say it."""
        if place.pk not in self._paths:
            names = [one.name for one in self._up(place)][::-1]
            boat = place.boat.name if place.boat is not None else ""
            told = ", ".join(names)
            self._paths[place.pk] = told if boat in told else f"{boat}, {told}"
        return self._paths[place.pk]

    def _up(self, place: Place) -> Iterator[Place]:
        seen: set[int] = set()
        step: Place | None = place
        while step is not None and step.pk not in seen:
            yield step
            seen.add(step.pk)
            step = self.places.get(step.parent_id or 0)

    def __iter__(self) -> Iterator[Place]:
        """Where parts can lie: ashore first, then boat by boat."""
        where = [one for one in self.places.values() if one.sort != Place.Sort.ASTRAY]
        return iter(sorted(where, key=self.order))

    def order(self, place: Place) -> tuple[bool, str, str, int]:
        """Ashore first, then boat by boat; what is looked for last."""
        boat = place.boat.name if place.boat is not None else ""
        return (place.sort == Place.Sort.ASTRAY or bool(boat), boat, self.path(place).casefold(), place.pk)

    def inside(self, place: Place) -> list[Place]:
        return [one for one in self if one.parent_id == place.pk]

    def choices(self, blank: str) -> list[Any]:
        """For a list to choose from: ashore, then boat by boat."""
        ashore = [(str(one.pk), self.path(one)) for one in self if one.boat is None]
        boats: dict[str, list[tuple[str, str]]] = {}
        for one in self:
            if one.boat is not None:
                boats.setdefault(one.boat.name, []).append((str(one.pk), self.path(one)))
        groups = [("Ashore", ashore)] if ashore else []
        return [("", blank), *groups, *boats.items()]


def stores_of(desk: Desk) -> Stores:
    """All of them, one query."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows = Place.objects.filter(Q(base=desk.base) | Q(boat__in=boats)).select_related("boat", "parent")
    return Stores(rows.in_bulk())
