"""How many in the store and how many in each boat's kit, looked at together. Pure.

A kit is filled again from the store, which orders anew: so a kit waits as long as the walk takes,
and longer where the store has none (Sherbrooke's METRIC, 1968, for stock that is asked for one at a
time). Time is in one unit, such as days.
"""

from dataclasses import dataclass

from maintenance.ordering.chances import Steady, missing


@dataclass(frozen=True, slots=True)
class Line:
    """A spare as kits and store share it: what each kit uses in a unit of time, how long the store
    waits for its supplier, how long a kit waits for the walk from a store that has it."""

    kits: int
    rate: float
    supplier: float
    walk: float

    @property
    def on_order(self) -> float:
        """How many the store waits for on average."""
        return self.kits * self.rate * self.supplier


@dataclass(frozen=True, slots=True)
class Levels:
    """So many in the store and so many in each kit, and how many are then missing aboard on average,
    over all kits."""

    store: int
    kit: int
    missing: float


def store_short(line: Line, store: int) -> float:
    """How many kits' asking waits at the store on average."""
    return missing(Steady(line.on_order), store)


def store_wait(line: Line, store: int) -> float:
    """How long an asking waits at the store on average (Little's law)."""
    return store_short(line, store) / (line.kits * line.rate)


def kit_waits_for(line: Line, store: int) -> float:
    """How many a kit has asked for and not got, on average."""
    return line.rate * (line.walk + store_wait(line, store))


def at_levels(line: Line, *, store: int, kit: int) -> Levels:
    """What is missing aboard with so many in the store and in each kit."""
    return Levels(store, kit, line.kits * missing(Steady(kit_waits_for(line, store)), kit))


def best_levels(line: Line, units: int) -> Levels:
    """The split of so many units, kits alike, that leaves the least missing aboard; the fewest in
    kits where two are as good."""
    splits = [(units - kit * line.kits, kit) for kit in range(units // line.kits + 1)]
    return min((at_levels(line, store=s, kit=k) for s, k in splits), key=lambda at: (at.missing, at.kit))
