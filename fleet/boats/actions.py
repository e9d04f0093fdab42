"""What can be done with a component: fit it, remove it, move it, read its printed date."""

from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from fleet.boats.dates import good_through
from fleet.boats.models import Boat, Component, Fitting, Meter, PrintedDate
from fleet.ledger import correction, enter
from fleet.people.models import Person


class FittingRefused(ValueError):
    """A component that cannot be fitted or removed as asked; the text says why."""


@transaction.atomic
def fit_component(
    component: Component,
    boat: Boat,
    *,
    on: date,
    at: datetime,
    by: Person | None = None,
    meter: Meter | None = None,
    position: str = "",
    dial: Decimal | None = None,
    why: str = "",
) -> Fitting:
    """Fits a component that is nowhere else; its history and hours come along."""
    last = Fitting.objects.standing().filter(component=component).order_by("fitted_on", "pk").last()
    if last is not None and (last.removed_on is None or last.removed_on > on):
        raise FittingRefused(f"component: {component.code} is fitted to {last.boat.name} until it is removed")
    fitting = Fitting(
        component=component,
        boat=boat,
        meter=meter,
        position=position,
        fitted_on=on,
        dial=dial,
        why=why,
    )
    return enter(fitting, at=at, by=by)


@transaction.atomic
def remove_component(
    component: Component,
    *,
    on: date,
    at: datetime,
    by: Person | None = None,
    dial: Decimal | None = None,
    why: str = "",
) -> Fitting:
    """Ends a component's present stay; the row that says so replaces the open one."""
    stay = Fitting.objects.standing().filter(component=component, removed_on__isnull=True).last()
    if stay is None:
        raise FittingRefused(f"component: {component.code} is not fitted to a boat")
    removed: Fitting = correction(stay, at=at, by=by, removed_on=on, dial_removed=dial, why=why)
    return removed


@transaction.atomic
def move_component(
    component: Component,
    boat: Boat,
    *,
    on: date,
    at: datetime,
    by: Person | None = None,
    meter: Meter | None = None,
    position: str = "",
    dial_removed: Decimal | None = None,
    dial: Decimal | None = None,
    why: str = "",
) -> Fitting:
    """Takes a component from one boat and fits it to another on one day."""
    remove_component(component, on=on, at=at, by=by, dial=dial_removed, why=why)
    return fit_component(
        component, boat, on=on, at=at, by=by, meter=meter, position=position, dial=dial, why=why
    )


@transaction.atomic
def read_printed_date(
    component: Component, *, as_written: str, at: datetime, by: Person | None = None, what: str = "expiry"
) -> PrintedDate:
    """Keeps the date now printed on a thing in place of the one before; DateNotClear where it
    could mean several days."""
    good = good_through(as_written)
    last = PrintedDate.objects.standing().filter(component=component, what=what).last()
    if last is not None:
        row: PrintedDate = correction(
            last, at=at, by=by, as_written=as_written, good_through=good, state=PrintedDate.State.READ
        )
        return row
    row = PrintedDate(component=component, what=what, as_written=as_written, good_through=good)
    return enter(row, at=at, by=by)
