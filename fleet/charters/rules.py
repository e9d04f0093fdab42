"""Which boat a charter has on which days, and when two of them clash. Pure."""

from collections.abc import Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import TypeVar

from fleet.spans import Span

B = TypeVar("B", bound=Hashable)
LEAVES, BACK = time(17), time(9)  # common practice, no source: where a charter gives no time


@dataclass(frozen=True, slots=True)
class Booking:
    """A charter as far as clashes go; times may be blank."""

    code: str
    starts_on: date
    ends_on: date
    leaves_at: time | None = None
    back_at: time | None = None


def has_gone(starts_on: date, leaves_at: time | None, local: datetime) -> bool:
    """Whether a charter has left by an hour of its base's clock."""
    return datetime.combine(starts_on, leaves_at or LEAVES) <= local


def is_over(ends_on: date, back_at: time | None, local: datetime) -> bool:
    """Whether a charter should be back by an hour of its base's clock."""
    return datetime.combine(ends_on, back_at or BACK) <= local


def spans_of(
    boat: B, starts_on: date, ends_on: date, had: Sequence[tuple[date, B]]
) -> Iterator[tuple[B, Span]]:
    """The days of one charter by boat; `had` are the boats it had and from when, oldest first."""
    if not had:
        yield boat, Span(starts_on, ends_on)
        return
    for n, (from_on, which) in enumerate(had):
        until = had[n + 1][0] if n + 1 < len(had) else ends_on
        first = max(from_on, starts_on) if n else starts_on
        if first < min(until, ends_on):
            yield which, Span(first, min(until, ends_on))


def clash(one: Booking, other: Booking) -> bool:
    """Whether two charters of one boat overlap: a boat may come back and leave on one day, unless
    the times say that she leaves before she is back."""
    first, second = sorted((one, other), key=lambda b: (b.starts_on, b.ends_on))
    if second.starts_on != first.ends_on:
        return second.starts_on < first.ends_on
    if first.back_at is None or second.leaves_at is None:
        return False
    return second.leaves_at < first.back_at


def clashes(bookings: Iterable[Booking]) -> Iterator[tuple[Booking, Booking]]:
    """Pairs of one boat's charters that overlap, the earlier one first."""
    ordered = sorted(bookings, key=lambda b: (b.starts_on, b.ends_on))
    longest: Booking | None = None
    for booking in ordered:
        if longest is not None and clash(longest, booking):
            yield longest, booking
        if longest is None or booking.ends_on >= longest.ends_on:
            longest = booking
