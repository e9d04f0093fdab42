"""Due lines written by hand for the real forecast: one part, on one meter, with its services."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal
from fractions import Fraction

from fleet.meters.rules import Dial, Timeline
from fleet.spans import Span
from maintenance.servicing.forecast import Done, Facts, Rule, Verdict, judge
from maintenance.servicing.hours import PartHours, Stay

METER = 1
IN_HOURS = ("every_hours", "first_hours", "early_hours", "late_hours")


def day(text: str) -> date:
    return date.fromisoformat(text)


def rule(**columns) -> Rule:
    """An interval's limbs; hours may be given as whole numbers or as text."""
    return Rule(**{name: Decimal(value) if name in IN_HOURS else value for name, value in columns.items()})


def done(*services: str) -> list[Done]:
    """Services as `2024-03-15 at 1000`, or `2024-03-15` where nobody wrote the hours down."""
    split = (service.partition(" at ") for service in services)
    return [Done(day(when), Decimal(dial) if dial else None) for when, _, dial in split]


def dials(*readings: str) -> list[Dial]:
    """Readings as `2024-03-15 at 1000`."""
    split = (reading.partition(" at ") for reading in readings)
    return [Dial(day(when), Decimal(dial)) for when, _, dial in split]


def facts(
    limbs: Rule,
    fitted: str,
    *services: str,
    readings: Iterable[str] = (),
    charters: Sequence[tuple[str, str]] = (),
    rate: int | None = None,
    printed: str | None = None,
) -> Facts:
    """What a line rests on. Hours noted with the fitting and with services are readings as well."""
    fitted_on, _, dial = fitted.partition(" at ")
    stay = Stay(1, METER, day(fitted_on), Decimal(dial) if dial else None)
    noted = [*([fitted] if dial else []), *(service for service in services if " at " in service)]
    timeline = Timeline.of(dials(*noted, *readings))
    return Facts(
        rule=limbs,
        part=PartHours([stay], {METER: timeline} if timeline else {}),
        done=done(*services),
        expires_on=day(printed) if printed else None,
        spans=[Span(day(starts), day(ends)) for starts, ends in charters],
        rate=None if rate is None else Fraction(rate),
    )


def line(limbs: Rule, fitted: str, *services: str, **known) -> Verdict:
    return judge(facts(limbs, fitted, *services, **known))
