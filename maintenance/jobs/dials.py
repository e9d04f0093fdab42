"""One dial read by itself, without a return or work: the due list follows."""

from datetime import date, datetime
from decimal import Decimal

from fleet.boats.dates import spoken
from fleet.boats.facts import today_of
from fleet.boats.models import SINCE_EVER, Meter
from fleet.meters.actions import record_reading
from fleet.meters.models import Reading
from fleet.people.models import Person
from maintenance.jobs.actions import WorkRefused
from maintenance.servicing.following import due_list_follows


def note_reading(
    meter: Meter,
    *,
    day: date,
    dial: Decimal,
    at: datetime,
    by: Person | None = None,
    new_meter: bool = False,
    how_known: str = Reading.HowKnown.SEEN,
    client_id: str | None = None,
) -> Reading:
    """Keeps what a dial showed, in hours; one that cannot be right is kept as doubtful and moves
    nothing. WorkRefused for a day to come."""
    today = today_of(meter.boat, at)
    if not SINCE_EVER <= day <= today:
        raise WorkRefused("day", f"wanted a day up to today, {spoken(today)}")
    with due_list_follows([meter.boat_id], at=at):
        return record_reading(
            meter,
            day=day,
            dial=dial,
            at=at,
            by=by,
            new_meter=new_meter,
            how_known=how_known,
            client_id=client_id,
        )
