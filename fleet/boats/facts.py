"""Whose boat it is on a day."""

from datetime import date, datetime

from fleet.bases.models import Base
from fleet.boats.models import Boat


def base_of(boat: Boat, on: date) -> Base:
    """The base that looks after a boat on a day."""
    return Base.objects.get(pk=Boat.objects.filter(pk=boat.pk).base_by_boat(on)[boat.pk])


def today_of(boat: Boat, at: datetime) -> date:
    """The calendar day at a boat's base at an instant."""
    return base_of(boat, at.date()).day_of(at)
