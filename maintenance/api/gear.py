"""Lists of gear that boats should carry, clause by clause, and which boat goes by which list."""

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.filters import BaseCode, code
from fleet.api.ledgers import LedgerTable
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Table
from maintenance.safety.models import Adoption, Requirement


class RequirementShape(Shape):
    base = CodeOf("base.code")
    kind = CodeOf("kind.code")

    class Meta:
        model = Requirement
        fields = (
            *("id", "base", "list", "clause", "source", "kind", "number", "per", "properties"),
            *("from_on", "until_on"),
        )


class RequirementFilter(filters.FilterSet):
    base = code("base__code", "of this base")
    list = code("list", "of this list")
    kind = code("kind__code", "that ask for this kind of thing")
    system = code("kind__system", "that ask for things of this system")


class Requirements(Table):
    """What each base's lists of gear ask for, each clause with its source; they defer to the flag's code."""

    shape, filterset_class = RequirementShape, RequirementFilter

    def rows(self) -> QuerySet[Requirement]:
        return Requirement.objects.filter(base__in=self.caller.bases).order_by()

    def base_of(self, row: Requirement) -> int:
        return row.base_id


class AdoptionShape(LedgerShape):
    boat = CodeOf("boat.code")

    class Meta:
        model = Adoption
        fields = ("id", "boat", "list", "from_on", "until_on", *LEDGER)


class AdoptionFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    list = code("list", "of this list")


class Adoptions(LedgerTable):
    """Which boat goes by which list from when: what is short of it then holds her."""

    shape, filterset_class = AdoptionShape, AdoptionFilter

    def mine(self) -> QuerySet[Adoption]:
        return Adoption.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: Adoption) -> int:
        return self.caller.boats[row.boat_id]
