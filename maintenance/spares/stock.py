"""What is on hand, what is below its allowance, what the book cannot be right about. Pure."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

Where = tuple[int, int]  # spare, place


@dataclass(frozen=True, slots=True)
class Move:
    """So much of a spare from a place (None: from outside) to another (None: gone)."""

    spare: int
    from_place: int | None
    to_place: int | None
    quantity: Decimal


@dataclass(frozen=True, slots=True)
class Held:
    """So much of a lot at a place, and its last good day."""

    key: int
    quantity: Decimal
    expires_on: date | None = None


@dataclass(frozen=True, slots=True)
class Short:
    """What lies at a place against what should."""

    where: Where
    on_hand: Decimal
    allowance: Decimal


def on_hand(moves: Iterable[Move]) -> dict[Where, Decimal]:
    """The sum of the moves by spare and place; below zero where more was used than the book had."""
    sums: dict[Where, Decimal] = defaultdict(Decimal)
    for move in moves:
        if move.from_place is not None:
            sums[move.spare, move.from_place] -= move.quantity
        if move.to_place is not None:
            sums[move.spare, move.to_place] += move.quantity
    return dict(sums)


def below_allowance(hands: Mapping[Where, Decimal], allowances: Mapping[Where, Decimal]) -> list[Short]:
    """Each place that should hold more of a spare than it does."""
    return [
        Short(where, hands.get(where, Decimal(0)), should)
        for where, should in allowances.items()
        if hands.get(where, Decimal(0)) < should
    ]


def to_count(hands: Mapping[Where, Decimal]) -> list[Where]:
    """Places the book says hold less than nothing: somebody has to look."""
    return [where for where, quantity in hands.items() if quantity < 0]


def first_below(moves: Sequence[tuple[int, Move]]) -> dict[Where, int]:
    """Of moves in the order they were recorded, each with its key: the one after which the book said
    less than nothing of a place, where it still does; two people took the last one, say."""
    sums: dict[Where, Decimal] = defaultdict(Decimal)
    below: dict[Where, int] = {}
    for key, move in moves:
        for place, quantity in ((move.from_place, -move.quantity), (move.to_place, move.quantity)):
            if place is None:
                continue
            where = (move.spare, place)
            sums[where] += quantity
            if sums[where] >= 0:
                below.pop(where, None)
            else:
                below.setdefault(where, key)
    return below


def left_of(came: Iterable[tuple[int, Decimal]], gone: Decimal) -> dict[int, Decimal]:
    """Of what came, by its key and the oldest first: what is left once so much is gone, the oldest of it
    gone first; what is all gone is left out."""
    left = {}
    for key, quantity in came:
        taken = min(quantity, gone)
        gone -= taken
        if quantity > taken:
            left[key] = quantity - taken
    return left


def lot_to_take(lots: Iterable[Held], quantity: Decimal, on: date) -> int | None:
    """The lot to take so much from: of those that hold as much, the one that runs out first and has
    not yet, then one without a day, then one run out; common practice, no source."""
    enough = [lot for lot in lots if lot.quantity >= quantity]
    last = date.max
    best = min(
        enough,
        key=lambda lot: (bool(lot.expires_on and lot.expires_on < on), lot.expires_on or last, lot.key),
        default=None,
    )
    return best.key if best else None


def lots_to_take(lots: Iterable[Held], quantity: Decimal, on: date) -> list[tuple[int | None, Decimal]]:
    """The lots to take so much from where it is for somebody else to use later: what has run out is left
    lying; one lot where one holds it all, else several, the first to run out first. What no lot holds is
    taken of none."""
    good = [lot for lot in lots if lot.quantity > 0 and not (lot.expires_on and lot.expires_on < on)]
    if (one := lot_to_take(good, quantity, on)) is not None:
        return [(one, quantity)]
    taken: list[tuple[int | None, Decimal]] = []
    for lot in sorted(good, key=lambda lot: (lot.expires_on or date.max, lot.key)):
        share = min(lot.quantity, quantity)
        taken += [(lot.key, share)] if share else []
        quantity -= share
    return [*taken, (None, quantity)] if quantity else taken
