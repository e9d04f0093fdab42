"""“Is it happening now?” as the pages ask it of who sent a report."""

from collections.abc import Collection
from datetime import datetime
from typing import Any

from django.http import HttpRequest
from django.utils.translation import gettext, gettext_lazy

from fleet.people.models import Person
from maintenance.defects.alarm import about
from maintenance.defects.happening import NEVER, answer_once, asks
from maintenance.pages import alarm_wording
from maintenance.pages.defect_rows import short
from maintenance.pages.fields import row_number
from maintenance.pages.phone import local
from maintenance.pages.phone.known import words_of

SAID = {"yes": True, "no": False, "never": False}
NOW = gettext_lazy("Do what stands here first, then ring the base: nobody may be reading this right now.")
KEPT = {
    "no": gettext_lazy(
        "Kept: it is not happening any more. Somebody of the base looks all the same before she goes out."
    ),
    "never": gettext_lazy(
        "Kept: it never was, the words mean something else. Somebody of the base looks all the same before "
        "she goes out."
    ),
}


def questions(cases: Collection[int], timezone: str, *, in_port: bool = False) -> list[dict[str, Any]]:
    """What is still to be asked about these reports, the worst first; `in_port` is for who cleans there."""
    rows = asks(cases).select_related("boat")
    return [
        {
            "pk": row.pk,
            "words": short(words_of(row)),
            "boat": row.boat.name,
            "when": local.moment(row.found_at, timezone),
            "alarm": row.alarm.replace("*", ""),
            "tells_of": about(row.alarm),
            "caution": alarm_wording.advice(row.alarm, in_port=in_port),
            **alarm_wording.question(row.alarm, in_port=in_port),
        }
        for row in sorted(rows, key=lambda row: alarm_wording.rank(row.alarm))
    ]


def answer(
    request: HttpRequest, cases: Collection[int], *, at: datetime, who: str = "", by: Person | None = None
) -> tuple[str, str]:
    """Keeps the answer a form brings, of one of these reports: how it is said, and what."""
    said = request.POST.get("happening", "")
    row = asks(cases).filter(pk=row_number(request.POST.get("defect", "")) or 0).first()
    if said not in SAID:
        return "error", gettext("Is it happening now: wanted yes, not any more, or it never was")
    if row is None:
        return "warning", gettext("That was answered already, or somebody has looked.")
    words = NEVER if said == "never" else ""
    answer_once(row, happening=SAID[said], who=who, words=words, at=at, by=by)
    return ("error", str(NOW)) if SAID[said] else ("success", str(KEPT[said]))
