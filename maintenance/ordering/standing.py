"""How an order stands, by its days and what came of each line; how long orders took before. Pure."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Final

NONE = Decimal(0)
LAST: Final = 3  # deliveries that are looked back at: no source


class Stands(StrEnum):
    """An order's states, in the words people use of one."""

    TO_SEND = "to send"
    SENT = "sent"
    PART = "part received"
    RECEIVED = "received"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Asked:
    """One line: so much was ordered, so much of it came."""

    ordered: Decimal
    came: Decimal = NONE

    @property
    def waits(self) -> Decimal:
        """What is still to come."""
        return max(self.ordered - self.came, NONE)


@dataclass(frozen=True, slots=True)
class Days:
    """An order's days, as far as they are known."""

    sent_on: date | None = None
    expected_on: date | None = None
    closed_on: date | None = None


def stands(days: Days, lines: Iterable[Asked]) -> Stands:
    """The state of an order. What came without the order being sent was sent all the same."""
    lines = list(lines)
    if lines and not any(line.waits for line in lines):
        return Stands.RECEIVED
    if days.closed_on is not None:
        return Stands.CLOSED
    if any(line.came for line in lines):
        return Stands.PART
    return Stands.SENT if days.sent_on is not None else Stands.TO_SEND


def waited_for(days: Days, line: Asked) -> Decimal:
    """What of a line is on its way: nothing before it is sent, and nothing once it is closed."""
    on_the_way = days.closed_on is None and (days.sent_on is not None or line.came > NONE)
    return line.waits if on_the_way else NONE


def late(days: Days, lines: Iterable[Asked], *, on: date) -> int:
    """Days an order is late on a day: 0 where all is here, nothing was promised, or it is not past."""
    state = stands(days, lines)
    if state not in (Stands.SENT, Stands.PART) or days.expected_on is None:
        return 0
    return max((on - days.expected_on).days, 0)


@dataclass(frozen=True, slots=True)
class Lead:
    """Days an order takes, and the sentence that says how anybody knows."""

    days: int
    why: str


def lead(
    took: Sequence[int], others: Sequence[int], *, typed: int | None, usual: int, supplier: str = ""
) -> Lead:
    """How long an order of a part takes: the longest of its last three deliveries, else what the base
    typed of it, else the longest of its supplier's last three, else the usual. The latest come last."""
    if last := took[-LAST:]:
        return Lead(max(last), f"{_days(max(last))}, the longest of the last {_many(len(last))}")
    if typed is not None:
        return Lead(typed, f"{_days(typed)} on the way, as typed")
    if last := others[-LAST:]:
        of = f" from {supplier}" if supplier else ""
        return Lead(max(last), f"{_days(max(last))}, the longest of the last {_many(len(last))}{of}")
    return Lead(usual, f"lead time not known: {_days(usual)} taken")


def _days(number: int) -> str:
    return f"{number} day{'' if number == 1 else 's'}"


def _many(number: int) -> str:
    return "delivery" if number == 1 else f"{number} deliveries"
