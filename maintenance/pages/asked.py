"""“Is it happening now?” as the pages ask it of who sent a report."""

from collections.abc import Collection
from datetime import datetime
from typing import Any

from django.http import HttpRequest

from fleet.people.models import Person
from maintenance.defects.alarm import about
from maintenance.defects.happening import answer_once, asks
from maintenance.pages import alarm_wording, wording
from maintenance.pages.defect_rows import short
from maintenance.pages.fields import row_number

SAID = {"yes": True, "no": False}
STILL = "Somebody of the base looks all the same before she goes out."
NOW = "Do what stands here first, then ring the base: nobody may be reading this right now."


def questions(cases: Collection[int], timezone: str) -> list[dict[str, Any]]:
    """What is still to be asked about these reports, the latest first."""
    return [
        {
            "pk": row.pk,
            "words": short(row.words),
            "boat": row.boat.name,
            "when": wording.moment(row.found_at, timezone),
            "alarm": row.alarm.replace("*", ""),
            "tells_of": about(row.alarm),
            "caution": alarm_wording.aboard(row.alarm),
        }
        for row in asks(cases).select_related("boat")
    ]


def answer(
    request: HttpRequest, cases: Collection[int], *, at: datetime, who: str = "", by: Person | None = None
) -> tuple[str, str]:
    """Keeps the answer a form brings, of one of these reports: how it is said, and what."""
    happening = SAID.get(request.POST.get("happening", ""))
    row = asks(cases).filter(pk=row_number(request.POST.get("defect", "")) or 0).first()
    if happening is None:
        return "error", "Is it happening now: wanted yes or not any more"
    if row is None:
        return "warning", "That was answered already, or somebody has looked."
    answer_once(row, happening=happening, who=who, at=at, by=by)
    if happening:
        return "error", NOW
    return "success", f"Kept: it is not happening any more. {STILL}"
