"""A part fitted, moved to another boat or taken off: its history and hours go along, the lists follow."""

from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import F, QuerySet

from fleet.bases.turns import take_turn
from fleet.boats.actions import FittingRefused, fit_component, move_component, remove_component
from fleet.boats.facts import today_of
from fleet.boats.models import SINCE_EVER, Boat, Component, Fitting, Meter
from fleet.ledger import correction
from fleet.meters.actions import (
    ReadingGoesBackwards,
    doubt_what_no_longer_fits,
    known_dials,
    why_not,
)
from fleet.meters.rules import Dial, can_be_right
from fleet.people.models import Person
from fleet.refused import Taken, TooLate
from maintenance.servicing.following import Moved, due_list_follows
from maintenance.servicing.models import Service


class FittingStoodOn(TooLate):
    """A stay that something recorded since rests on: it is ended or moved on, not undone."""


@dataclass(frozen=True, slots=True)
class NewPlace:
    """Where a part goes: the boat, the meter it then runs on, and the dials noted, in hours."""

    boat: Boat
    meter: Meter | None = None
    position: str = ""
    dial_removed: Decimal | None = None
    dial: Decimal | None = None


@transaction.atomic
def move_part(
    component: Component,
    place: NewPlace,
    *,
    on: date,
    why: str,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> list[Moved]:
    """Moves a part; FittingRefused or ReadingGoesBackwards name what cannot be."""
    take_turn()
    stay = present_stay(component)
    _refuse_day(on, stay.fitted_on, place.boat, at)
    _refuse_place(place, on)
    _refuse_dial("dial_removed", stay.meter, on, place.dial_removed)
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
            client_id=client_id,
        )
    return moved


@transaction.atomic
def fit_part(
    component: Component,
    place: NewPlace,
    *,
    on: date,
    why: str = "",
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> list[Moved]:
    """Fits a part that is ashore; a new one is kept with it. FittingRefused or ReadingGoesBackwards
    name what cannot be, Taken where another has a new one's code."""
    take_turn()
    if component.pk is None:
        _keep_new(component)
    left = _left_on(component)
    _refuse_day(on, left, place.boat, at)
    _refuse_place(place, on)
    with due_list_follows([place.boat.pk], at=at) as moved:
        fit_component(
            component,
            place.boat,
            on=on,
            at=at,
            by=by,
            meter=place.meter,
            position=place.position,
            dial=place.dial,
            why=why,
            client_id=client_id,
        )
    return moved


@transaction.atomic
def remove_part(
    component: Component,
    *,
    on: date,
    why: str = "",
    dial_removed: Decimal | None = None,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> list[Moved]:
    """Takes a part off its boat and keeps it ashore; FittingRefused or ReadingGoesBackwards name what
    cannot be."""
    take_turn()
    stay = present_stay(component)
    _refuse_day(on, stay.fitted_on, stay.boat, at)
    _refuse_dial("dial_removed", stay.meter, on, dial_removed)
    with due_list_follows([stay.boat_id], at=at) as moved:
        remove_component(component, on=on, at=at, by=by, dial=dial_removed, why=why, client_id=client_id)
    return moved


@transaction.atomic
def undo_stay(
    row: Fitting, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Fitting:
    """Undoes the last that was said of where a part is: that it was taken off, or that it was fitted.

    FittingStoodOn where it is not the last, where a service was recorded since, or where it is the
    only stay of the part, for it would then be nowhere and nobody's.
    """
    take_turn()
    _refuse_stood_on(row)
    back = {"removed_on": None, "dial_removed": None} if row.removed_on else {"void": True}
    with due_list_follows([row.boat_id], at=at):
        undone: Fitting = correction(row, at=at, by=by, client_id=client_id, **back)
        if row.meter_id is not None:
            doubt_what_no_longer_fits({row.meter_id}, at=at, by=by)
    return undone


def _refuse_stood_on(row: Fitting) -> None:
    stays = list(_stays(row.component_id))
    if not stays or stays[-1].pk != row.pk:
        raise FittingStoodOn("void: wanted the last stay of the part, and nothing recorded of it since")
    services = Service.objects.standing().filter(component=row.component_id)
    since = services.filter(done_on__gt=row.removed_on or row.fitted_on)
    if since.exists() or (not row.removed_on and services.filter(done_on=row.fitted_on).exists()):
        raise FittingStoodOn("void: wanted no service of the part recorded since; move it on instead")
    if not row.removed_on and len(stays) == 1:
        raise FittingStoodOn("void: wanted another stay before this one, for the part would be nowhere")


def _keep_new(component: Component) -> None:
    if Component.objects.filter(code=component.code).exists():
        raise Taken("code", component.code)
    component.full_clean()
    component.save()


def present_stay(component: Component) -> Fitting:
    """Where a part is fitted now; FittingRefused where it is nowhere."""
    stays = Fitting.objects.standing().filter(component=component, removed_on__isnull=True)
    stay = stays.select_related("boat", "meter").last()
    if stay is None:
        raise FittingRefused(f"component: {component.code} is not fitted to a boat")
    return stay


def _stays(component: int) -> QuerySet[Fitting]:
    """Where a part has been, oldest first; a place left on the day it was taken comes before the next."""
    rows = Fitting.objects.standing().filter(component=component)
    ordered: QuerySet[Fitting] = rows.order_by("fitted_on", F("removed_on").asc(nulls_last=True), "pk")
    return ordered


def _left_on(component: Component) -> date:
    """The first day a part that is ashore can be fitted again; FittingRefused where it is aboard."""
    last = _stays(component.pk).select_related("boat").last()
    if last is None:
        return SINCE_EVER
    if last.removed_on is None:
        raise FittingRefused(f"component: {component.code} is fitted to {last.boat.name} until it is removed")
    return last.removed_on


def _refuse_day(on: date, first: date, boat: Boat, at: datetime) -> None:
    if not first <= on <= today_of(boat, at):
        raise FittingRefused(f"on: wanted a day from {first} up to today")


def _refuse_place(place: NewPlace, on: date) -> None:
    if place.meter is not None and place.meter.boat_id != place.boat.pk:
        raise FittingRefused(f"meter: wanted an hour meter of {place.boat.name}")
    _refuse_dial("dial", place.meter, on, place.dial)


def _refuse_dial(field: str, meter: Meter | None, on: date, dial: Decimal | None) -> None:
    if dial is None:
        return
    if meter is None:
        raise FittingRefused(f"{field}: wanted nothing, for it is on no hour meter there")
    noted = Dial(on, dial, noted=True)
    if not can_be_right(noted, known_dials(meter)):
        raise ReadingGoesBackwards(f"{field}: {why_not(noted, meter)}")
