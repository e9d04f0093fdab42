"""Where aboard something is wrong: the boat's own places and fitted systems, as choices to tap."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext

from fleet.boats.models import Boat, Component, Fitting, Place
from maintenance.pages import wording
from maintenance.pages.phone.known import aboard

UNSURE = "unsure"
SHOWN = 4  # things of a system named on its tile


@dataclass(frozen=True, slots=True)
class Where:
    """One choice: a place, one of several like things, or a system; `holds` says what belongs to it.
    Kept in the base's own words, shown in the language of the page."""

    value: str
    name: str
    holds: tuple[str, ...] = ()
    place: Place | None = None
    component: Component | None = None

    @property
    def said(self) -> str:
        return gettext("Not sure") if self.value == UNSURE else wording.sentence(aboard(self.name))

    @property
    def holds_said(self) -> str:
        """What belongs to it, for who does not know its name; the first few."""
        if self.value == UNSURE:
            return gettext("or somewhere else")
        names = ", ".join(aboard(name) for name in self.holds[:SHOWN])
        return f"{names} ..." if len(self.holds) > SHOWN else names

    @property
    def note(self) -> str:
        """What no column says: the system, in the reporter's own report."""
        known = self.place is not None or self.component is not None or self.value == UNSURE
        return "" if known else f"Where: {self.name}"


def wheres(boat: Boat) -> list[Where]:
    """Every choice of a boat, `not sure` last; two queries."""
    return [*_systems(boat), *_places(boat), Where(UNSURE, "Not sure", ("somewhere else",))]


def _places(boat: Boat) -> Iterator[Where]:
    """Her own lockers and shelves; the boat as a whole is no place to look."""
    rows = Place.objects.filter(boat=boat).select_related("parent").order_by("parent__name", "name")
    for place in rows:
        if place.parent is not None or place.sort != Place.Sort.ABOARD:
            yield Where(f"place:{place.pk}", place.name, place=place)


def _systems(boat: Boat) -> Iterator[Where]:
    rows = Fitting.objects.standing().filter(boat=boat, removed_on__isnull=True)
    rows = rows.select_related("component__kind", "meter").order_by("component__kind__name", "position", "pk")
    systems: dict[str, list[Fitting]] = defaultdict(list)
    for row in rows:
        systems[row.component.kind.system].append(row)
    for system in sorted(systems):
        yield from _system(system, systems[system])


def _system(system: str, fitted: list[Fitting]) -> Iterator[Where]:
    """A system as a whole; where it is nothing but several of one kind (two heads), each of them;
    where it hangs on several engines, the system of each."""
    kinds = {row.component.kind_id for row in fitted}
    meters = {row.meter.name for row in fitted if row.meter is not None}
    if len(kinds) == 1 and len(fitted) > 1 and all(row.position for row in fitted):
        for row in fitted:
            name = f"{row.component.kind.name}, {row.position}"
            yield Where(f"part:{row.component_id}", name, component=row.component)
    elif len(meters) > 1:
        for meter in sorted(meters):
            own = [row for row in fitted if row.meter is None or row.meter.name == meter]
            name = f"{wording.sentence(system)}, {meter}"
            yield Where(f"system:{system}:{meter}", name, _holds(own))
    else:
        yield Where(f"system:{system}", wording.sentence(system), _holds(fitted))


def _holds(fitted: list[Fitting]) -> tuple[str, ...]:
    """What a system is made of, each kind once."""
    return tuple(dict.fromkeys(_small(row.component.kind.name) for row in fitted))


def _small(name: str) -> str:
    return name if name[1:2].isupper() else name[:1].lower() + name[1:]
