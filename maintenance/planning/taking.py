"""What to take to a job, and from where."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from fleet.boats.facts import places_of
from fleet.boats.models import Component, Place
from maintenance.servicing.models import Due, IntervalSpare
from maintenance.spares.facts import hands, run_out_at
from maintenance.spares.fits import Fit, fits
from maintenance.spares.models import Spare
from maintenance.spares.stand_ins import StandIn, says_of, stand_ins, thing_of

NONE = Decimal(0)


@dataclass(frozen=True, slots=True)
class Lies:
    """So much of a spare at a place, and how much of it is past its last good day."""

    place: Place
    on_hand: Decimal
    run_out: Decimal = NONE

    @property
    def good(self) -> Decimal:
        return self.on_hand - self.run_out


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
        """Whether one place holds enough that is good."""
        return any(lie.good >= self.quantity for lie in self.lies)

    @property
    def place(self) -> Place | None:
        """Where to take it from: the first place with enough, or else with any."""
        enough = [lie.place for lie in self.lies if lie.good >= self.quantity]
        return next(iter(enough or [lie.place for lie in self.lies if lie.good > NONE]), None)


@dataclass(frozen=True, slots=True)
class Wants:
    """So much of each of some parts, for one thing aboard a boat."""

    boat: int
    component: Component
    parts: Sequence[tuple[Spare, Decimal]]


def takes(dues: Sequence[Due], *, on: date) -> dict[int, tuple[Take, ...]]:
    """What each line takes, by the line's key; as many queries whatever the number of lines. Each line
    comes with its component."""
    wanted: dict[int, list[tuple[Spare, Decimal]]] = defaultdict(list)
    rows = IntervalSpare.objects.filter(interval__in={due.interval_id for due in dues})
    for row in rows.select_related("spare").order_by("spare__code"):
        wanted[row.interval_id].append((row.spare, row.quantity))
    wants = {
        due.pk: Wants(due.boat_id, due.component, wanted[due.interval_id])
        for due in dues
        if due.interval_id in wanted
    }
    return found_for(wants, on=on)


def found_for(wants: Mapping[int, Wants], *, on: date) -> dict[int, tuple[Take, ...]]:
    """Where the parts wanted lie, whether they fit, and what lies there instead, by the key of what wants
    them; as many queries whatever their number."""
    spares = {spare.pk for want in wants.values() for spare, _ in want.parts}
    if not spares:
        return {}
    others, says = stand_ins(spares), says_of(spares)
    every = spares | {one.spare.pk for of in others.values() for one in of}
    there = _Where(_lies({want.boat for want in wants.values()}, on, every), others)
    return {
        key: tuple(
            there.take(spare, quantity, want.boat, fits(says.get(spare.pk, ()), thing_of(want.component)))
            for spare, quantity in want.parts
        )
        for key, want in wants.items()
    }


@dataclass(frozen=True, slots=True)
class _Where:
    """Where parts lie for each boat, and what may stand for each."""

    lies: Mapping[tuple[int, int], Sequence[Lies]]
    others: Mapping[int, Sequence[StandIn]]

    def take(self, spare: Spare, quantity: Decimal, boat: int, fit: Fit | None) -> Take:
        own = Take(spare, quantity, self._of(boat, spare.pk), fit)
        if own.there:
            return own
        found = [
            Instead(one.spare, one.why, self._of(boat, one.spare.pk)) for one in self.others.get(spare.pk, ())
        ]
        found = [one for one in found if any(lie.good > NONE for lie in one.lies)]
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
    keys = {place.pk for of in places.values() for place in of}
    run_out = run_out_at(keys, on=on)
    there: dict[int, list[tuple[int, Decimal, Decimal]]] = defaultdict(list)
    for (spare, place), on_hand in hands(keys).items():
        if spare in spares and on_hand > NONE:
            there[place].append((spare, on_hand, min(run_out.get((spare, place), NONE), on_hand)))
    lies: dict[tuple[int, int], list[Lies]] = defaultdict(list)
    for boat, of in places.items():
        for one in of:
            for spare, on_hand, past in there.get(one.pk, ()):
                lies[boat, spare].append(Lies(one, on_hand, past))
    return lies
