"""What came up or ended on a boat since she was released, in the words it was reported in."""

from collections.abc import Sequence

from django.db.models import Q

from maintenance.defects.models import ENDINGS, Defect, DefectStep
from maintenance.release.facts import Judged


def since_released(judged: Judged) -> Sequence[str]:
    """What was reported of a boat, or ended, since the release that was given for her charter, whether it
    stands or fell; two queries."""
    if judged.release is None:
        return []
    at = judged.release.recorded_at
    came = Defect.objects.open().filter(boat=judged.boat, recorded_at__gt=at)
    came = came.filter(Q(replaces__isnull=True) | ~Q(replaces__boat=judged.boat))
    ended = DefectStep.objects.standing().filter(
        defect__boat=judged.boat, step__in=ENDINGS, recorded_at__gt=at
    )
    return [
        *(f"reported: {_line(row.words)}" for row in came.order_by("pk")),
        *(_ended(row) for row in ended.select_related("defect").order_by("pk")),
    ]


def _ended(row: DefectStep) -> str:
    why = f": {row.why}" if row.why else ""
    return f"{row.step} by {row.by}: {_line(row.defect.words)}{why}"


def _line(words: str) -> str:
    return " ".join(words.split())[:90]
