"""What held a boat and was settled since she last went out, in the words it was reported in."""

from collections.abc import Sequence
from datetime import date

from fleet.bases.models import Base
from maintenance.defects.models import ENDINGS, DefectStep
from maintenance.defects.rules import UNSAFE
from maintenance.release.facts import Judged
from maintenance.release.ships import last_out


def settled_words(judged: Judged, base: Base, on: date) -> Sequence[str]:
    """Each with what was found or done, and by whom; three queries."""
    since = last_out(base, [judged.boat.pk], on)[judged.boat.pk]
    ended = DefectStep.objects.standing().filter(
        defect__boat=judged.boat, step__in=ENDINGS, recorded_at__gte=since
    )
    unsafe = DefectStep.objects.standing().filter(grade=UNSAFE, defect__boat=judged.boat).values("defect")
    rows = ended.filter(defect__in=unsafe).select_related("defect").order_by("pk")
    return [_said(row) for row in rows]


def _said(row: DefectStep) -> str:
    line = " ".join(row.defect.words.split())[:90]
    why = f": {row.why}" if row.why else ""
    return f"{line} ({row.step} by {row.by}{why})"
