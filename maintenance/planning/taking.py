"""What to take to a job, and from where."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from fleet.boats.facts import places_of
from fleet.boats.models import Place
from maintenance.servicing.models import Due, IntervalSpare
from maintenance.spares.facts import hands
from maintenance.spares.fits import Fit, fits
from maintenance.spares.models import Spare
from maintenance.spares.stand_ins import StandIn, says_of, stand_ins, thing_of


@dataclass(frozen=True, slots=True)
class Lies:
    """So much of a spare at a place."""

    place: Place
    on_hand: Decimal


@dataclass(frozen=True, slots=True)
class Instead:
    """Another part that may stand for one, why, and where it lies."""

    spare: Spare
    why: str
    lies: tuple[Lies, ...]


@dataclass(frozen=True, slots=True)
class Take:
    """So much of a spare for a job, and where it lies: the store first, then the boat's kit.

    `fit` is whether it is said to fit the thing aboard, None where nothing is said of it; `instead`
    what lies there that may stand for it, where no place holds enough of it.
    """

    spare: Spare
    quantity: Decimal
    lies: tuple[Lies, ...]
    fit: Fit | None = None
    instead: tuple[Instead, ...] = ()

    @property
    def there(self) -> bool:
        """Whether one place holds enough."""
        return any(lie.on_hand >= self.quantity for lie in self.lies)

    @property
    def place(self) -> Place | None:
        """Where to take it from: the first place with enough, or else with any."""
        enough = [lie.place for lie in self.lies if lie.on_hand >= self.quantity]
        return next(iter(enough or [lie.place for lie in self.lies]), None)


def takes(dues: Sequence[Due], *, on: date) -> dict[int, tuple[Take, ...]]:
    """What each line takes, by the line's key; as many queries whatever the number of lines."""
    wanted: dict[int, list[IntervalSpare]] = defaultdict(list)
    rows = IntervalSpare.objects.filter(interval__in={due.interval_id for due in dues})
    for row in rows.select_related("spare").order_by("spare__code"):
        wanted[row.interval_id].append(row)
    if not wanted:
        return {}
    boats = {due.boat_id for due in dues if due.interval_id in wanted}
    spares = {row.spare_id for of in wanted.values() for row in of}
    others, says = stand_ins(spares), says_of(spares)
    there = _Where(_lies(boats, on, spares | {one.spare.pk for of in others.values() for one in of}), others)
    return {
        due.pk: tuple(
            there.take(row, due.boat_id, fits(says.get(row.spare_id, ()), thing_of(due.component)))
            for row in wanted[due.interval_id]
        )
        for due in dues
        if due.interval_id in wanted
    }


@dataclass(frozen=True, slots=True)
class _Where:
    """Where parts lie for each boat, and what may stand for each."""

    lies: Mapping[tuple[int, int], Sequence[Lies]]
    others: Mapping[int, Sequence[StandIn]]

    def take(self, row: IntervalSpare, boat: int, fit: Fit | None) -> Take:
        own = Take(row.spare, row.quantity, self._of(boat, row.spare_id), fit)
        if own.there:
            return own
        found = [
            Instead(one.spare, one.why, lies)
            for one in self.others.get(row.spare_id, ())
            if (lies := self._of(boat, one.spare.pk))
        ]
        return replace(own, instead=tuple(found))

    def _of(self, boat: int, spare: int) -> tuple[Lies, ...]:
        return tuple(self.lies.get((boat, spare), ()))


def place_of(spare: Spare, quantity: Decimal, places: Sequence[Place]) -> Place:
    """Where the book has a spare: the first of these places with enough, else with any, else the
    first: somebody used it, so it was somewhere. IndexError where there is no place at all."""
    held = hands([place.pk for place in places])
    there = {place: held.get((spare.pk, place.pk), Decimal(0)) for place in places}
    enough = [place for place, on_hand in there.items() if on_hand >= quantity]
    some = [place for place, on_hand in there.items() if on_hand > 0]
    return (enough or some or list(places))[0]


def _lies(boats: Iterable[int], on: date, spares: set[int]) -> dict[tuple[int, int], list[Lies]]:
    places = places_of(boats, on=on)
    held = hands({place.pk for of in places.values() for place in of})
    lies: dict[tuple[int, int], list[Lies]] = defaultdict(list)
    for boat, of in places.items():
        for place in of:
            for spare in spares:
                if (on_hand := held.get((spare, place.pk), Decimal(0))) > 0:
                    lies[boat, spare].append(Lies(place, on_hand))
    return lies
