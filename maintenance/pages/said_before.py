"""What was said of a boat before: her releases, and whether the charter asked about has her already."""

from dataclasses import dataclass
from typing import Any

from fleet.boats.models import Boat
from fleet.pages.desk import Desk
from maintenance.pages import wording
from maintenance.release.facts import Judged
from maintenance.release.models import Release
from maintenance.turnaround.at_sea import under_way
from maintenance.turnaround.facts import handover_of

MOST = 40  # own choice: some two seasons of one boat


@dataclass(frozen=True, slots=True)
class Gone:
    """Why nothing is said of a boat for a charter any more; `page` is the one that says more, or ""."""

    words: str
    page: str = ""


def gone(judged: Judged, desk: Desk) -> Gone | None:
    """That she was handed over for the charter, or is out on it; None where she can be released for it.

    One handed over on an earlier day whose release fell before she left can be: the handover can no
    more be taken back, and she would have no way out.
    """
    charter = judged.charter
    if charter is None:
        return None
    out = under_way(judged.boat, desk.base, desk.now)
    is_out = out is not None and out.pk == charter.pk
    there = handover_of(charter)
    if there is not None and (is_out or desk.is_today(there.recorded_at) or not judged.standing.fell):
        when = wording.moment(there.recorded_at, desk.base.timezone)
        return Gone(f"She was handed over for {charter.code}, {when}, by {there.by}.", "handover")
    if is_out and charter.starts_on < desk.today:
        day = wording.day(charter.starts_on, desk.today)
        return Gone(
            f"She is out on charter {charter.code} since {day}, and nobody has told that she is back."
        )
    return None


def said_before(boat: Boat, desk: Desk, *, but: Release | None = None) -> list[dict[str, Any]]:
    """The releases of a boat, the latest first, those taken back too; the one that stands is `but`."""
    rows = Release.objects.filter(boat=boat, void=False).exclude(pk=but.pk if but else None)
    return [_said(row, desk) for row in rows.select_related("charter", "replaced_by").order_by("-pk")[:MOST]]


def _said(row: Release, desk: Desk) -> dict[str, Any]:
    return {
        "pk": row.pk,
        "charter": row.charter,
        "verdict": wording.sentence(row.verdict),
        "when": wording.moment(row.recorded_at, desk.base.timezone),
        "back": hasattr(row, "replaced_by"),
    }
