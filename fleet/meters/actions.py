"""What can be done with a meter: write down its dial, and settle one that is in doubt."""

from collections.abc import Collection
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from fleet.boats.dates import spoken
from fleet.boats.models import Meter
from fleet.ledger import correction, enter
from fleet.meters.facts import dials_by_meter
from fleet.meters.models import Reading
from fleet.meters.rules import Dial, can_be_right, impossible_pairs, neighbours
from fleet.people.models import Person
from fleet.refused import Refused


class ReadingGoesBackwards(Refused):
    """A dial that cannot stand between its neighbours in time."""


@transaction.atomic
def record_reading(
    meter: Meter,
    *,
    day: date,
    dial: Decimal,
    at: datetime,
    by: Person | None = None,
    new_meter: bool = False,
    noted: bool = False,
    how_known: str = Reading.HowKnown.SEEN,
    client_id: str | None = None,
) -> Reading:
    """Keeps what a dial showed, in hours. One that cannot be right is kept as doubtful."""
    dial = round(dial, 2)
    known = known_dials(meter)
    second = new_meter and any(d.new_meter and d.day == day and d.hours != dial for d in known)
    right = can_be_right(Dial(day, dial, new_meter, noted), known) and not second
    reading = Reading(
        meter=meter,
        day=day,
        dial=dial,
        new_meter=new_meter,
        noted=noted,
        how_known=how_known,
        standing=Reading.Standing.USED if right else Reading.Standing.DOUBTFUL,
    )
    return enter(reading, at=at, by=by, client_id=client_id)


def why_not(dial: Dial, meter: Meter) -> str:
    """Why a dial cannot stand between its neighbours, in words."""
    if dial.hours < 0:
        return f"{dial.hours} h is less than a meter can show"
    before, after = neighbours(dial, known_dials(meter))
    near = [_said(d) for d in (before, after) if d is not None]
    return f"{_said(dial)} does not go with {' and '.join(near)}"


def _said(dial: Dial) -> str:
    return f"{dial.hours.normalize():f} h on {spoken(dial.day)}"


def known_dials(meter: Meter) -> list[Dial]:
    """Every dial of a meter that counts."""
    return dials_by_meter([meter.pk], date.max).get(meter.pk, [])


@transaction.atomic
def settle_reading(
    reading: Reading,
    *,
    at: datetime,
    by: Person | None = None,
    dial: Decimal | None = None,
    new_meter: bool = False,
    instead_of: Reading | None = None,
    client_id: str | None = None,
) -> Reading:
    """Uses a doubtful reading: as it stands, as another dial, as a new meter's first, or in place
    of an earlier reading that was the wrong one. ReadingGoesBackwards where it still cannot be."""
    if instead_of is not None:
        set_aside(instead_of, at=at, by=by)
    hours = reading.dial if dial is None else dial
    settled = Dial(reading.day, hours, new_meter or reading.new_meter, reading.noted and not new_meter)
    if not can_be_right(settled, known_dials(reading.meter)):
        raise ReadingGoesBackwards(why_not(settled, reading.meter))
    changed: dict[str, Any] = {"dial": hours, "new_meter": settled.new_meter, "noted": settled.noted}
    changed["standing"] = Reading.Standing.USED
    settled_row: Reading = correction(reading, at=at, by=by, client_id=client_id, **changed)
    return settled_row


def set_aside(
    reading: Reading, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Reading:
    """Keeps a reading on the record and counts it nowhere."""
    aside = Reading.Standing.SET_ASIDE
    row: Reading = correction(reading, at=at, by=by, client_id=client_id, standing=aside)
    return row


def doubt_what_no_longer_fits(meters: Collection[int], *, at: datetime, by: Person | None = None) -> None:
    """After something was undone: a later dial that cannot be right any more is in doubt."""
    for meter, dials in dials_by_meter(meters, date.max).items():
        for _, after in impossible_pairs(dials):
            rows = Reading.objects.standing().filter(meter=meter, day=after.day, dial=after.hours)
            for row in rows.filter(standing=Reading.Standing.USED, new_meter=after.new_meter):
                correction(row, at=at, by=by, standing=Reading.Standing.DOUBTFUL)
