"""What opening a report or a return shows of how it came, and whether opening it is the first sight of it."""

from collections.abc import Sequence
from typing import Any

from fleet.pages.desk import Desk
from maintenance.defects.models import Defect
from maintenance.pages.how_came import came_of_reports, report_came, return_came
from maintenance.pages.new_rows import photos_of_return
from maintenance.turnaround.facts import came_by_link
from maintenance.turnaround.models import LinkReturn, Return
from maintenance.turnaround.seeing import FROM_CLEANERS, returns_seen_at, seen_at


def opened(rows: Sequence[Defect], desk: Desk) -> dict[str, Any]:
    """Of a report, given through its corrections, the first one first."""
    first, last = rows[0], rows[-1]
    keys = [row.pk for row in rows]
    by_link = came_by_link(keys)
    came = came_of_reports([first.pk]).get(first.pk)
    by_somebody = by_link or (first.client_id or "").startswith(FROM_CLEANERS)
    return {
        "by_link": by_link,
        "came": report_came(last, came, desk),
        "to_see": by_somebody and desk.may("answer a report") and not seen_at({row.case for row in rows}),
        "moved_from": _moved_from(rows),
        "may_join": desk.may("grade and defer"),
    }


def _moved_from(rows: Sequence[Defect]) -> str:
    """The boat it came in on, where it stands on another now."""
    first, last = rows[0], rows[-1]
    return first.boat.name if first.boat_id != last.boat_id else ""


def return_opened(filed: Return, desk: Desk) -> dict[str, Any]:
    """Of a return; one filed by the base was seen by whoever filed it."""
    rows = LinkReturn.objects.filter(filed=filed).select_related("filed__boat", "link__charter__boat")
    came = rows.prefetch_related("photos__paper").first()
    if came is None:
        return {}
    unseen = not returns_seen_at([filed.pk])
    return {
        "came": return_came(came),
        "photos": photos_of_return(came, desk),
        "to_see": filed.pk if unseen and desk.may("answer a report") else None,
    }
