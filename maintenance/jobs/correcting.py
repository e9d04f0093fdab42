"""A ledger's row taken back or corrected by itself; the due lines that rested on it follow."""

from collections.abc import Collection
from datetime import datetime
from typing import Any

from fleet.ledger import correction, take_back
from fleet.meters.actions import doubt_what_no_longer_fits
from fleet.meters.models import Reading
from fleet.people.models import Person
from maintenance.servicing.following import due_list_follows


def void_row(
    row: Any,
    boats: Collection[int],
    *,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Any:
    """Takes a row back: what it stood for stands again, or nothing does. A dial that then fits no
    more is in doubt."""
    with due_list_follows(boats, at=at):
        undone = take_back(row, at=at, by=by, client_id=client_id)
        if isinstance(row, Reading):
            doubt_what_no_longer_fits({row.meter_id}, at=at, by=by)
    return undone


def correct_row(
    row: Any, boats: Collection[int], *, at: datetime, by: Person | None = None, **changed: Any
) -> Any:
    """Puts another row in place of one, the same but for what changed."""
    with due_list_follows(boats, at=at):
        return correction(row, at=at, by=by, **changed)
