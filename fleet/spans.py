"""Days a boat is out, counted. Pure; it stands below the rooms because meters and charters both need it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta


@dataclass(frozen=True, slots=True)
class Span:
    """A charter's days on one boat: from `starts_on` up to, not including, `ends_on`."""

    starts_on: date
    ends_on: date


def charter_days(spans: Sequence[Span], first: date, before: date) -> int:
    """Charter days from a day up to, not including, another."""
    lengths = ((min(s.ends_on, before) - max(s.starts_on, first)).days for s in spans)
    return sum(length for length in lengths if length > 0)


def day_run(spans: Sequence[Span], start: date, days: int) -> date | None:
    """The `days`-th charter day from a day on, that day included; None where too few are booked."""
    for span in sorted(spans, key=lambda s: s.starts_on):
        first = max(span.starts_on, start)
        length = (span.ends_on - first).days
        if length >= days:
            return first + timedelta(days=days - 1)
        days -= max(length, 0)
    return None
