"""Readings in doubt: what stands around each, what was probably meant, and how it is settled."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from decimal import Decimal
from fractions import Fraction

from fleet.boats.models import Boat, Meter
from fleet.charters.facts import spans_by_boat
from fleet.meters.actions import set_aside, settle_reading
from fleet.meters.facts import dials_by_meter
from fleet.meters.mistakes import Meant, probably_meant, swapped
from fleet.meters.models import Reading
from fleet.meters.rules import Dial, can_be_right, neighbours
from fleet.papers.models import Paper
from fleet.people.models import Person
from fleet.spans import Span, charter_days
from maintenance.servicing.following import Moved, due_list_follows
from maintenance.servicing.rates import stored_rates
from maintenance.turnaround.photos_to_come import photos_of_dials

FALLBACK_RATE = Fraction(3)  # hours a charter day where no base has one: common practice, no source


@dataclass(frozen=True, slots=True)
class Doubt:
    """A dial that cannot be right, its neighbours, what was probably meant, nearest first, and the
    photos of it that came with the return it was said in."""

    meter: Meter
    given: Dial
    before: Dial | None
    after: Dial | None
    meant: tuple[Meant, ...]
    photos: tuple[Paper, ...] = ()

    @property
    def runs_backwards(self) -> bool:
        low = self.before is not None and self.given.hours < self.before.hours
        return low or (self.after is not None and self.given.hours > self.after.hours)


@dataclass(frozen=True, slots=True)
class Doubts:
    """The doubtful dials of one return before it is kept, and two meters perhaps swapped."""

    doubts: tuple[Doubt, ...]
    swapped: tuple[Meter, Meter] | None = None

    def __bool__(self) -> bool:
        return bool(self.doubts)


def doubts_of(boat: Boat, given: Mapping[Meter, Dial], *, on: date) -> Doubts:
    """What to ask before keeping these dials; nothing where all can be right."""
    known = dials_by_meter([meter.pk for meter in given], date.max)
    of = {meter: known.get(meter.pk, []) for meter in given}
    wrong = [meter for meter, dial in given.items() if not can_be_right(dial, of[meter])]
    if not wrong:
        return Doubts(())
    rate, spans = _paces([boat.pk], on)[boat.pk]
    found = tuple(_doubt(meter, given[meter], of[meter], rate, spans) for meter in wrong)
    return Doubts(found, swapped(given, of))


def doubts_to_settle(readings: Sequence[Reading], *, on: date) -> list[tuple[Reading, Doubt]]:
    """The same of readings kept as doubtful, in a fixed number of queries."""
    paces = _paces({reading.meter.boat_id for reading in readings}, on)
    known = dials_by_meter({reading.meter_id for reading in readings}, date.max)
    photos, found = photos_of_dials(readings), []
    for reading in readings:
        rate, spans = paces[reading.meter.boat_id]
        given = Dial(reading.day, reading.dial, reading.new_meter, reading.noted)
        dials = known.get(reading.meter_id, [])
        doubt = _doubt(reading.meter, given, dials, rate, spans)
        found.append((reading, replace(doubt, photos=tuple(photos.get(reading.pk, ())))))
    return found


def doubtful(boats: Sequence[int]) -> list[Reading]:
    """Readings of boats that wait to be settled, the oldest first."""
    rows = Reading.objects.standing().filter(standing=Reading.Standing.DOUBTFUL, meter__boat__in=boats)
    return list(rows.select_related("meter__boat").order_by("day", "pk"))


def settle(
    reading: Reading,
    *,
    at: datetime,
    by: Person | None = None,
    dial: Decimal | None = None,
    new_meter: bool = False,
    instead_of: Reading | None = None,
    client_id: str | None = None,
) -> list[Moved]:
    """Uses a doubtful reading, as another dial where given; ReadingGoesBackwards where it cannot be."""
    boat = reading.meter.boat
    with due_list_follows([boat.pk], at=at) as moved:
        settle_reading(
            reading,
            at=at,
            by=by,
            dial=dial,
            new_meter=new_meter,
            instead_of=instead_of,
            client_id=client_id,
        )
    return moved


def correct(
    reading: Reading,
    *,
    dial: Decimal,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> list[Moved]:
    """Puts another dial in place of one in use, whenever it was read; what was written stays on the
    record. ReadingGoesBackwards where the other one cannot be."""
    with due_list_follows([reading.meter.boat_id], at=at) as moved:
        aside = set_aside(reading, at=at, by=by)
        settle_reading(aside, at=at, by=by, dial=dial, client_id=client_id)
    return moved


def put_aside(
    reading: Reading, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> list[Moved]:
    """Keeps a reading on the record and counts it nowhere."""
    boat = reading.meter.boat
    with due_list_follows([boat.pk], at=at) as moved:
        set_aside(reading, at=at, by=by, client_id=client_id)
    return moved


def _paces(boats: Collection[int], on: date) -> dict[int, tuple[Fraction, list[Span]]]:
    """Each boat's usual hours a charter day, and her charter days."""
    bases = Boat.objects.filter(pk__in=boats).base_by_boat(on)
    rates, spans = stored_rates(), spans_by_boat(boats)
    return {boat: (rates.get(bases.get(boat, 0)) or FALLBACK_RATE, spans.get(boat, [])) for boat in boats}


def _doubt(meter: Meter, given: Dial, dials: Sequence[Dial], rate: Fraction, spans: list[Span]) -> Doubt:
    before, after = neighbours(given, dials)
    expected = _expected(given.day, [d for d in dials if d.day <= given.day], rate, spans)
    meant = probably_meant(given, dials, expected if expected is not None else given.hours)
    return Doubt(meter, given, before, after, tuple(meant))


def _expected(day: date, dials: list[Dial], rate: Fraction, spans: list[Span]) -> Decimal | None:
    """What the dial should show by the base's usual rate."""
    if not dials:
        return None
    last = max(dials, key=lambda d: (d.day, d.hours))
    run = rate * charter_days(spans, last.day, day)
    return last.hours + Decimal(run.numerator) / run.denominator


def earlier_reading(reading: Reading) -> Reading | None:
    """The reading in use just before one, if it is one that can be set aside."""
    rows = Reading.objects.standing().filter(
        meter=reading.meter,
        standing=Reading.Standing.USED,
        day__lte=reading.day,
        noted=False,
        new_meter=False,
    )
    return rows.order_by("day", "dial", "pk").last()
