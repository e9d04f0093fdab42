"""What is on hand, what is below its allowance, what the book cannot be right about. Pure."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
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
