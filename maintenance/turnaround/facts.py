"""Which charters have a return."""

from collections.abc import Collection

from django.db.models import QuerySet

from maintenance.turnaround.models import Return


def returned_charters(boats: Collection[int] | QuerySet) -> set[int]:
    """Charters of boats for which a return was filed and stands."""
    rows = Return.objects.standing().filter(boat__in=boats, charter__isnull=False)
    return set(rows.values_list("charter_id", flat=True))
