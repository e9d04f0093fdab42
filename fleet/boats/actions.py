"""What can be done with a component: fit it, remove it, move it, read its printed dates."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.dates import DateNotClear, good_through, meanings
from fleet.boats.models import Boat, Component, Fitting, Kind, KindDate, Meter, PrintedDate
from fleet.ledger import correction, enter
from fleet.papers.models import Paper
from fleet.people.models import Person
from fleet.refused import Refused


class FittingRefused(Refused):
    """A component that cannot be fitted or removed as asked; the text says why."""


class KindDatesRefused(Refused):
    """Dates that a kind of thing cannot be said to carry."""

    def __init__(self, kind: Kind, wanted: str) -> None:
        self.kind = kind
        super().__init__(f"dates: {wanted}")


WHAT_LENGTH, MOST_DATES = 40, 12


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
    client_id: str | None = None,
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
    return enter(fitting, at=at, by=by, client_id=client_id)


@transaction.atomic
def remove_component(
    component: Component,
    *,
    on: date,
    at: datetime,
    by: Person | None = None,
    dial: Decimal | None = None,
    why: str = "",
    client_id: str | None = None,
) -> Fitting:
    """Ends a component's present stay; the row that says so replaces the open one."""
    stay = Fitting.objects.standing().filter(component=component, removed_on__isnull=True).last()
    if stay is None:
        raise FittingRefused(f"component: {component.code} is not fitted to a boat")
    says = {"removed_on": on, "dial_removed": dial, "why": why}
    removed: Fitting = correction(stay, at=at, by=by, client_id=client_id, **says)
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
    client_id: str | None = None,
) -> Fitting:
    """Takes a component from one boat and fits it to another on one day."""
    remove_component(component, on=on, at=at, by=by, dial=dial_removed, why=why)
    return fit_component(
        component,
        boat,
        on=on,
        at=at,
        by=by,
        meter=meter,
        position=position,
        dial=dial,
        why=why,
        client_id=client_id,
    )


@transaction.atomic
def read_printed_date(
    component: Component,
    *,
    at: datetime,
    as_written: str = "",
    by: Person | None = None,
    what: str = "expiry",
    state: str = PrintedDate.State.READ,
    good: date | None = None,
    paper: Paper | None = None,
    client_id: str | None = None,
) -> PrintedDate:
    """Keeps what is now printed on a thing in place of what was kept before; its old paper goes.

    `good` is the meaning chosen of those it may have. DateNotClear where it is none of them, or
    where none was chosen and it could mean several days.
    """
    read = state == PrintedDate.State.READ
    says = {
        "as_written": "" if state == PrintedDate.State.NONE else as_written.strip(),
        "good_through": _chosen(as_written, good) if read else None,
        "state": state,
        "paper_id": None if paper is None else paper.pk,
    }
    what = named_as_known(component, what)
    last = PrintedDate.objects.standing().filter(component=component, what=what).order_by("pk").last()
    if last is not None:
        row: PrintedDate = correction(last, at=at, by=by, client_id=client_id, **says)
        return row
    return enter(PrintedDate(component=component, what=what, **says), at=at, by=by, client_id=client_id)


def _chosen(as_written: str, good: date | None) -> date:
    if good is None:
        return good_through(as_written)
    if good not in {meaning.day for meaning in meanings(as_written)}:
        raise DateNotClear(f"good: wanted one of the days that “{as_written}” may mean")
    return good


def named_as_known(component: Component, what: str) -> str:
    """The name of a date as it is known already where only capitals and spaces differ."""
    what = " ".join(what.split())
    known = [
        "expiry",
        *component.kind.dates.values_list("what", flat=True),
        *PrintedDate.objects.standing().filter(component=component).values_list("what", flat=True),
    ]
    return next((name for name in known if name.casefold() == what.casefold()), what)


@transaction.atomic
def set_kind_dates(said: Mapping[Kind, Sequence[str]]) -> None:
    """Says which dates things of each kind carry, instead of those said before; what was printed
    stays. KindDatesRefused, and nothing is kept, where a name cannot be or a needed one is missing.
    """
    take_turn()
    for kind, whats in said.items():
        wanted: dict[str, str] = {}
        for name in filter(None, (" ".join(what.split()) for what in whats)):
            wanted.setdefault(name.casefold(), name)
        _refuse_whats(kind, list(wanted.values()))
        kind.dates.exclude(what__in=wanted.values()).delete()
        kept = set(kind.dates.values_list("what", flat=True))
        KindDate.objects.bulk_create(KindDate(kind=kind, what=w) for w in wanted.values() if w not in kept)


def _refuse_whats(kind: Kind, whats: Sequence[str]) -> None:
    if not whats and kind.date_required:
        raise KindDatesRefused(kind, "wanted at least one, for a task on it goes by its printed date")
    if len(whats) > MOST_DATES:
        raise KindDatesRefused(kind, f"wanted {MOST_DATES} dates at most, found {len(whats)}")
    for what in whats:
        if len(what) > WHAT_LENGTH or not what.isprintable():
            raise KindDatesRefused(
                kind, f"wanted names of {WHAT_LENGTH} letters at most, found “{what[:WHAT_LENGTH]}...”"
            )


def require_dates(kinds: Iterable[int]) -> None:
    """Says that things of these kinds carry a date, whichever it is."""
    Kind.objects.filter(pk__in=list(kinds), date_required=False).update(date_required=True)
