"""What is open on boats, with what stands beside the words."""

from collections.abc import Iterable

from django.db.models import Count, OuterRef, Subquery

from fleet.boats.models import Fitting
from maintenance.defects.models import Defect, DefectQuerySet


def open_defects(boats: Iterable[int]) -> DefectQuerySet:
    """Open defects of boats in the order they were found; each knows how many `photos` it has and
    the `position` of the thing it names."""
    stays = Fitting.objects.standing().filter(component=OuterRef("component"), removed_on__isnull=True)
    rows = Defect.objects.open().filter(boat__in=boats).select_related("place__parent", "component__kind")
    beside = {"photos": Count("papers"), "position": Subquery(stays.values("position")[:1])}
    found: DefectQuerySet = rows.annotate(**beside).order_by("found_at", "pk")
    return found
