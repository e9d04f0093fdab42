"""What was just done about something new, in words, with the one touch that undoes it."""

from typing import Any

from django.http import Http404

from fleet.boats.models import Boat
from fleet.pages.desk import Desk
from maintenance.defects.models import Defect, DefectStep
from maintenance.pages.defect_rows import row_of, short
from maintenance.pages.fields import row_number
from maintenance.turnaround.models import Return

SEEN_RETURN = "return"


def done_of(said: str, desk: Desk) -> dict[str, Any] | None:
    """What the end of an address says was done, as it stands now; None where nothing of it does."""
    what, _, number = said.partition("-")
    pk = row_number(number)
    if pk is None or (tell := TOLD.get(what)) is None:
        return None
    try:
        told: dict[str, Any] | None = tell(pk, desk)
    except Http404:
        return None
    return told and told | {"token": said}


def _named(row: Any) -> str:
    return f"{row.boat.name}, “{short(row.words)}”"


def _seen(pk: int, desk: Desk) -> dict[str, Any] | None:
    row = row_of(pk, desk)
    steps = DefectStep.objects.standing().filter(defect=row.case, step=DefectStep.Step.SEEN)
    if (step := steps.order_by("pk").last()) is None or not desk.is_today(step.recorded_at):
        return None
    head = "Kept as two things" if step.why else "Seen"
    return {"says": f"{head}: {_named(row)}.", "row": row.pk, "undo": "seen", "open": row.pk}


def _joined(pk: int, desk: Desk) -> dict[str, Any] | None:
    row = row_of(pk, desk)
    if row.same_as_id is None or not desk.is_today(row.recorded_at):
        return None
    main = row_of(row.same_as_id, desk)
    says = f"Joined: {_named(row)} goes with “{short(main.words)}” from now on."
    return {"says": says, "row": main.pk, "other": row.pk, "undo": "joined", "open": main.pk}


def _parted(pk: int, desk: Desk) -> dict[str, Any] | None:
    row: Defect = row_of(pk, desk)
    if row.same_as_id is not None:
        return None
    return {"says": f"Two things again: {_named(row)} is open by itself.", "open": row.pk}


def _return(pk: int, desk: Desk) -> dict[str, Any] | None:
    boats = Boat.objects.of_base(desk.base.pk, desk.today).values("pk")
    row = Return.objects.filter(pk=pk, boat__in=boats, seen__isnull=False).select_related("boat").first()
    return {"says": f"Seen: the return of {row.boat.name}."} if row is not None else None


TOLD = {"seen": _seen, "two": _seen, "joined": _joined, "parted": _parted, SEEN_RETURN: _return}
