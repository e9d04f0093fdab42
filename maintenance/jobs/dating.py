"""A date read off a thing or its certificate: it is kept, and the due list follows."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from fleet.boats.actions import read_printed_date
from fleet.boats.facts import base_of
from fleet.boats.models import Component, PrintedDate
from fleet.ledger import OWN_COLUMNS, latest, once, take_back
from fleet.papers.models import Paper
from fleet.people.models import Person
from maintenance.jobs.actions import TooLateToTakeBack, refuse_late
from maintenance.jobs.models import JobPrintedDate
from maintenance.jobs.refitting import present_stay
from maintenance.servicing.following import Moved, due_list_follows


@dataclass(frozen=True, slots=True)
class Dated:
    """The row that was kept, and the due days that moved with it."""

    row: PrintedDate
    moved: tuple[Moved, ...] = ()


def record_date(
    component: Component,
    *,
    what: str = "expiry",
    as_written: str = "",
    state: str = PrintedDate.State.READ,
    good: date | None = None,
    paper: Paper | None = None,
    at: datetime,
    by: Person | None = None,
    client_id: str | None = None,
) -> Dated:
    """Keeps what is printed now, that it cannot be read, or that none is; what was before stays on
    the record. Sent twice with one `client_id` it is kept once.

    `good` is the meaning chosen of those that `as_written` may have; DateNotClear where it is none
    of them, or where none was chosen and it could mean several days. FittingRefused where the
    thing is on no boat.
    """
    stay = present_stay(component)

    def keep() -> Dated:
        with due_list_follows([stay.boat_id], at=at) as moved:
            row = read_printed_date(
                component,
                what=what,
                as_written=as_written,
                state=state,
                good=good,
                paper=paper,
                at=at,
                by=by,
                client_id=client_id,
            )
        return Dated(row, tuple(moved))

    return once(lambda: _known(component, client_id), keep)


def take_back_date(
    row: PrintedDate, *, at: datetime, by: Person | None = None, client_id: str | None = None
) -> Dated:
    """Undoes a date within the day: what was printed before stands again. TooLateToTakeBack where
    it is of an earlier day, was read again since, or came with work, which is undone as a whole."""
    stay = present_stay(row.component)
    refuse_late(stay.boat, row.recorded_at, at)
    with due_list_follows([stay.boat_id], at=at) as moved:
        last = latest(PrintedDate.objects.get(pk=row.pk))
        if last.void:
            return Dated(last)
        if not _says_the_same(last, row):
            raise TooLateToTakeBack("It was recorded again since; undo that first.")
        if JobPrintedDate.objects.filter(printed_date=row).exists():
            raise TooLateToTakeBack("It was recorded with work on the boat; undo that where the work is.")
        taken = take_back(row, at=at, by=by, client_id=client_id)
    return Dated(taken, tuple(moved))


def undoable(component: Component, *, at: datetime) -> dict[str, PrintedDate]:
    """Which rows can be undone, by the date they are of: recorded today, and not along with work."""
    base = base_of(present_stay(component).boat, at.date())
    rows = PrintedDate.objects.standing().filter(component=component).order_by("pk")
    found = {row.what: _first_said(row) for row in rows}
    of_work = set(
        JobPrintedDate.objects.filter(printed_date__in=[r.pk for r in found.values()]).values_list(
            "printed_date", flat=True
        )
    )
    today = base.day_of(at)
    return {w: r for w, r in found.items() if r.pk not in of_work and base.day_of(r.recorded_at) == today}


def _known(component: Component, client_id: str | None) -> Dated | None:
    if not client_id:
        return None
    row = PrintedDate.objects.filter(component=component, client_id=client_id).first()
    return None if row is None else Dated(row)


def _first_said(row: Any) -> Any:
    """The row that said what stands: one that undoes another only says again what stood before it."""
    while row.client_id is None and row.replaces is not None and (before := row.replaces.replaces):
        if not _says_the_same(row, before):
            break
        row = before
    return row


def _says_the_same(row: Any, other: Any) -> bool:
    names = [f.attname for f in row._meta.concrete_fields if f.name not in OWN_COLUMNS]
    return all(getattr(row, name) == getattr(other, name) for name in names)
