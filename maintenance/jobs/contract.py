"""A base's own hours of the charter contract, in place of the published terms."""

from collections.abc import Sequence

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.refused import Refused
from maintenance.jobs.clock import Allowed
from maintenance.jobs.models import ContractClock


class ClockRefused(Refused):
    """Hours that cannot be a contract's; `field` names what to put right."""


@transaction.atomic
def set_contract_clock(base: Base, rows: Sequence[Allowed]) -> None:
    """Puts a base's own hours in place of those it had; none at all: the published terms hold again.
    ClockRefused where two begin at the same length, or none begins with the shortest charter.
    Call-outs that are under way keep the hours they were opened with."""
    take_turn()
    begins = [row.over_days for row in rows]
    if len(set(begins)) < len(begins):
        raise ClockRefused("over_days: wanted each length of charter once")
    if rows and 0 not in begins:
        raise ClockRefused("over_days: wanted one row over 0 days, for the shortest charters")
    ContractClock.objects.filter(base=base).delete()
    for allowed in rows:
        row = ContractClock(base=base, over_days=allowed.over_days, hours=allowed.hours)
        row.full_clean()
        row.save()


def contract_clock(base: Base) -> list[Allowed]:
    """The hours of a base's own contract; none: it goes by the published terms."""
    rows = ContractClock.objects.filter(base=base).order_by("over_days")
    return [Allowed(*row) for row in rows.values_list("over_days", "hours")]
