"""How reports came by the skippers' links: what is odd about each, photos to come, when it was seen."""

from collections.abc import Sequence
from typing import Any

from django.db.models import Count, Q
from rest_framework import serializers

from fleet.api.boats import LedgerShape
from fleet.api.tables import Row
from maintenance.turnaround.models import LinkDefect
from maintenance.turnaround.seeing import seen_at

CAME = ("seen_at", "odd", "photos_to_come")
WAITING = Q(photos__isnull=False, photos__paper__isnull=True, photos__refused="")


class CameShape(LedgerShape):
    seen_at = serializers.DateTimeField(
        allow_null=True, help_text="when somebody of the base first saw it, by opening it or by any act"
    )
    odd = serializers.ListField(
        child=serializers.CharField(), help_text="what is odd about how it came by a skipper's link"
    )
    photos_to_come = serializers.IntegerField(
        help_text="photos the phone announced that are not here yet; those here are in papers"
    )


def add_how_it_came(rows: Sequence[Row], case: dict[int, int]) -> None:
    """Adds to rows of reports how each came, by the case of each; six queries, however many."""
    cases = set(case.values())
    seen = seen_at(cases)
    found: Any = LinkDefect.objects.filter(defect__in=cases).annotate(coming=Count("photos", filter=WAITING))
    came = {row.defect_id: (row.odd, row.coming) for row in found}
    for row in rows:
        mine = case[row["id"]]
        odd, coming = came.get(mine, ([], 0))
        row.update({"seen_at": seen.get(mine), "odd": odd, "photos_to_come": coming})
