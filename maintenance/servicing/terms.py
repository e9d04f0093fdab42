"""A boat's terms change and her due lines follow: her base's use is what her hours are reckoned by."""

from datetime import datetime
from typing import Any

from fleet.boats import joining
from fleet.boats.models import Boat, BoatTerms
from maintenance.servicing.following import due_list_follows


def add_terms(boat: Boat, *, at: datetime, **says: Any) -> BoatTerms:
    """Keeps what holds of a boat from a day on; TermsRefused where it cannot."""
    with due_list_follows([boat.pk], at=at):
        return joining.add_terms(boat, at=at, **says)


def correct_terms(row: BoatTerms, *, at: datetime, **changed: Any) -> BoatTerms:
    """Puts other terms in place of some, or takes them back; TermsRefused where it cannot be."""
    with due_list_follows([row.boat_id], at=at):
        return joining.correct_terms(row, at=at, **changed)
