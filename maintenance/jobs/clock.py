"""The clock of a charter contract: how long the base has to put a boat right that is away. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta


@dataclass(frozen=True, slots=True)
class Allowed:
    """For charters of more than so many days, so many hours."""

    over_days: int
    hours: int


# Published charter terms: not put right within 24 h (charters of up to 7 days), 48 h (over 7) or
# 72 h (over 14), the client may withdraw. Another base promises 48 h: a base's own rows replace these.
PUBLISHED = (Allowed(0, 24), Allowed(7, 48), Allowed(14, 72))


def hours_allowed(days: int, own: Sequence[Allowed] = ()) -> int | None:
    """The hours a charter of so many days gives the base; `own` stands for the published terms where
    there are any. None where the base's own say nothing of a charter that short."""
    found = [a for a in own or PUBLISHED if days > a.over_days]
    return max(found, key=lambda a: a.over_days).hours if found else None


def runs_out_at(told_at: datetime, hours: int) -> datetime:
    """The instant the hours are over, in UTC: real hours, whatever the clocks on the wall did."""
    return told_at.astimezone(UTC) + timedelta(hours=hours)


def left(told_at: datetime, hours: int, at: datetime) -> timedelta:
    """How much of the hours is left at an instant; below nothing where they are over."""
    return runs_out_at(told_at, hours) - at.astimezone(UTC)
