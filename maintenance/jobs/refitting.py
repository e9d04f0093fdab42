"""A part moved from one boat to another: its history and hours go along, both lists follow."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from fleet.boats.actions import FittingRefused, move_component
from fleet.boats.facts import today_of
from fleet.boats.models import Boat, Component, Fitting, Meter
from fleet.meters.actions import ReadingGoesBackwards, known_dials, why_not
from fleet.meters.rules import Dial, can_be_right
from fleet.people.models import Person
from maintenance.servicing.following import Moved, due_list_follows


@dataclass(frozen=True, slots=True)
class NewPlace:
    """Where a part goes: the boat, the meter it then runs on, and the dials noted, in hours."""

    boat: Boat
    meter: Meter | None = None
    position: str = ""
    dial_removed: Decimal | None = None
    dial: Decimal | None = None


def move_part(
    component: Component,
    place: NewPlace,
    *,
    on: date,
    why: str,
    at: datetime,
    by: Person | None = None,
) -> list[Moved]:
    """Moves a part; FittingRefused or ReadingGoesBackwards name what cannot be."""
    stay = present_stay(component)
    if not stay.fitted_on <= on <= today_of(place.boat, at):
        raise FittingRefused(f"on: wanted a day from {stay.fitted_on} up to today")
    if place.meter is not None and place.meter.boat_id != place.boat.pk:
        raise FittingRefused(f"meter: wanted an hour meter of {place.boat.name}")
    _refuse_dial("dial_removed", stay.meter, on, place.dial_removed)
    _refuse_dial("dial", place.meter, on, place.dial)
    with due_list_follows([stay.boat_id, place.boat.pk], at=at) as moved:
        move_component(
            component,
            place.boat,
            on=on,
            at=at,
            by=by,
            meter=place.meter,
            position=place.position,
            dial_removed=place.dial_removed,
            dial=place.dial,
            why=why,
        )
    return moved


def present_stay(component: Component) -> Fitting:
    """Where a part is fitted now; FittingRefused where it is nowhere."""
    stays = Fitting.objects.standing().filter(component=component, removed_on__isnull=True)
    stay = stays.select_related("boat", "meter").last()
    if stay is None:
        raise FittingRefused(f"component: {component.code} is not fitted to a boat")
    return stay


def _refuse_dial(field: str, meter: Meter | None, on: date, dial: Decimal | None) -> None:
    if dial is None:
        return
    if meter is None:
        raise FittingRefused(f"{field}: wanted nothing, for it is on no hour meter there")
    noted = Dial(on, dial, noted=True)
    if not can_be_right(noted, known_dials(meter)):
        raise ReadingGoesBackwards(f"{field}: {why_not(noted, meter)}")
