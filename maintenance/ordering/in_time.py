"""Which jobs cannot have their parts before their limit, by what lies there, what comes and how long an
order takes. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

NONE: Final = Decimal(0)
Comes = Sequence[tuple[date, Decimal]]  # the day and how many, the soonest first


@dataclass(frozen=True, slots=True)
class Need:
    """So much of a part that a job needs by a day."""

    job: int
    spare: int
    quantity: Decimal
    by: date


@dataclass(frozen=True, slots=True)
class TooLate:
    """So many of a part that are here only after the job's limit."""

    need: Need
    missing: Decimal
    here_on: date


def too_late(
    needs: Iterable[Need],
    *,
    lying: Mapping[int, Decimal],
    coming: Mapping[int, Comes],
    ordered_now: Mapping[int, date],
) -> list[TooLate]:
    """The needs that are met too late: whose limit comes first is served first, from what lies there,
    then from what comes, then from an order made now; `ordered_now` is when that would be here. Nobody
    waits beyond their limit for what comes later than that."""
    left = {spare: [(date.min, max(quantity, NONE))] for spare, quantity in lying.items()}
    for spare, comes in coming.items():
        left[spare] = [*left.get(spare, ()), *comes]
    found = []
    for need in sorted(needs, key=lambda one: (one.by, one.job, one.spare)):
        taken, left[need.spare] = _taken(need, left.get(need.spare, ()), ordered_now[need.spare])
        after = [(day, quantity) for day, quantity in taken if day > need.by]
        if after:
            found.append(TooLate(need, sum((q for _, q in after), NONE), max(day for day, _ in after)))
    return found


def _taken(need: Need, there: Comes, ordered_now: date) -> tuple[Comes, list[tuple[date, Decimal]]]:
    """What is taken of what is there, day by day, the rest from an order made now; and what is left."""
    wanted, taken, left = need.quantity, [], []
    for day, quantity in there:
        share = min(wanted, quantity) if day <= max(need.by, ordered_now) else NONE
        wanted -= share
        taken += [(day, share)] if share else []
        left += [(day, quantity - share)] if quantity > share else []
    return taken + ([(ordered_now, wanted)] if wanted else []), left
