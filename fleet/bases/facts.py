"""What day it is."""

from datetime import date, datetime

from fleet.bases.models import Base


def latest_day(at: datetime) -> date:
    """The latest calendar day at any base at an instant: no fact known then is dated after it."""
    return max((base.day_of(at) for base in Base.objects.all()), default=at.date())
