"""What is said of a date that was just recorded: what it means, what it moved, how it is undone."""

from collections.abc import Collection
from datetime import date
from typing import Any

from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest
from django.utils.text import slugify

from fleet.boats.models import Boat, Fitting, PrintedDate
from fleet.pages.desk import Desk
from maintenance.jobs.dating import undoable
from maintenance.pages import wording
from maintenance.pages.fields import row_number
from maintenance.servicing.following import Moved


def aboard(desk: Desk) -> QuerySet[Fitting]:
    """Where the things now fitted to the base's boats are."""
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    rows: QuerySet[Fitting] = Fitting.objects.standing().filter(removed_on__isnull=True, boat__in=boats)
    return rows


def named(stay: Fitting) -> str:
    return f"{stay.component.kind.name} of {stay.boat.name}"


def says(row: PrintedDate) -> str:
    if row.state == PrintedDate.State.ILLEGIBLE:
        return "cannot be read"
    if row.good_through is None:
        return "none is printed"
    return f"good through {wording.day(row.good_through)}"


def moved_said(moved: tuple[Moved, ...], today: date) -> str:
    """What it meant for the due list, in a sentence."""
    if not moved:
        return "No due day moved."
    said = [
        f"{m.task}, from {wording.day(m.before, today)} to {wording.day(m.after, today)}" for m in moved[:3]
    ]
    more = f"; and {wording.many(len(moved) - 3, 'more', 'more')}" if len(moved) > 3 else ""
    return f"{wording.sentence(wording.many(len(moved), 'due day'))} moved: {'; '.join(said)}{more}."


def undo_offered(request: HttpRequest, desk: Desk, shown: Collection[str]) -> dict[str, Any] | None:
    """The date that was just recorded, while it can be undone, and what is to be told of it there:
    at its line, where the page opens, not at the top."""
    number = row_number(request.GET.get("undo", ""))
    if number is None or not desk.may("read a printed date"):
        return None
    rows = PrintedDate.objects.filter(pk=number, component__in=aboard(desk).values("component"))
    row = rows.select_related("component__kind").first()
    if row is None or anchor(row.component_id, row.what) not in shown:
        return None
    if row.pk not in {r.pk for r in undoable(row.component, at=desk.now).values()}:
        return None
    return {
        "row": row.pk,
        "anchor": anchor(row.component_id, row.what),
        "said": f"{row.component.kind.name}, {row.what}",
        "told": [str(message) for message in messages.get_messages(request)],
    }


def anchor(component: int, what: str) -> str:
    """Where a date's line stands on the page of all dates."""
    return f"date-{component}-{slugify(what)}"
