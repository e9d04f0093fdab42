"""Lists of gear that boats should carry, clause by clause, and which boat goes by which list."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.boat_register import bases_of
from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.fields import Body, LedgerBody, OneOf, Ref, Whole, boats_of
from fleet.api.filters import BaseCode, code
from fleet.api.ledgers import Ledger
from fleet.api.register_fields import Line, UsualDay, line
from fleet.api.registers import Register
from fleet.api.shapes import CodeOf, Shape
from fleet.boats.models import Kind
from maintenance.safety.models import Adoption, Requirement
from maintenance.safety.requiring import (
    MOST,
    add_requirement,
    adopt_list,
    change_requirement,
    end_requirement,
    leave_list,
)

RULES = "change the base's rules"


class RequirementShape(Shape):
    base = CodeOf("base.code")
    kind = CodeOf("kind.code")

    class Meta:
        model = Requirement
        fields = (
            *("id", "base", "list", "clause", "source", "kind", "number", "per", "properties"),
            *("from_on", "until_on"),
        )


class RequirementChange(Body):
    """What a clause asks for, from a day on: where that is another number, kind or list, the days before
    keep the row they had, and a new one is answered with."""

    list = Line(max_length=60, help_text="the list's name, such as coastal")
    clause = line(40)
    source: Any = line(300, help_text="the flag's code, the insurer ...")  # hides the class's own
    kind = Ref(lambda caller: Kind.objects.all(), help_text="its code")
    number = Whole(min_value=1, max_value=MOST)
    per = OneOf(choices=Requirement.Per.values, required=False)
    properties = line(120, help_text="what it must be, in words")
    on = UsualDay(required=False, help_text="from which day on; today unless told")
    until_on = UsualDay(required=False, help_text="the last day it is asked for")


class RequirementBody(RequirementChange):
    """One clause of a base's list."""

    base = Ref(bases_of, help_text="the base's code")


class RequirementFilter(filters.FilterSet):
    base = code("base__code", "of this base")
    list = code("list", "of this list")
    kind = code("kind__code", "that ask for this kind of thing")
    system = code("kind__system", "that ask for things of this system")


class Requirements(Register):
    """What each base's lists of gear ask for, each clause with its source; they defer to the flag's code."""

    shape, takes, changes = RequirementShape, RequirementBody, RequirementChange
    filterset_class = RequirementFilter
    needs = {"GET": "see", "POST": RULES, "PATCH": RULES}

    def rows(self) -> QuerySet[Requirement]:
        return Requirement.objects.filter(base__in=self.caller.bases).order_by()

    def base_of(self, row: Requirement) -> int:
        return row.base_id

    def add(self, given: dict[str, Any]) -> Requirement:
        base = given["base"].pk
        self.allow_at(base)
        return add_requirement(Requirement(from_on=given.pop("on", self.caller.today(base)), **given))

    def change(self, row: Requirement, given: dict[str, Any]) -> Requirement:
        on, last = given.pop("on", self.caller.today(row.base_id)), given.pop("until_on", None)
        kept = change_requirement(row, on=on, **given) if given else row
        return end_requirement(kept, last=last) if last is not None else kept


class AdoptionShape(LedgerShape):
    boat = CodeOf("boat.code")

    class Meta:
        model = Adoption
        fields = ("id", "boat", "list", "from_on", "until_on", *LEDGER)


class AdoptionBody(LedgerBody):
    """That a boat goes by a list of her base's: what is short of it then holds her."""

    boat = Ref(boats_of, help_text="her code")
    list = Line(max_length=60, help_text="the list's name")
    from_on = UsualDay(required=False, help_text="today unless told")


class AdoptionEnd(LedgerBody):
    """That a boat leaves a list."""

    until_on = UsualDay(help_text="the last day she goes by it; before the first, she never did")


class AdoptionFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    list = code("list", "of this list")


class Adoptions(Ledger):
    """Which boat goes by which list from when; what stands for one of them says until when."""

    shape, takes, corrects, filterset_class = AdoptionShape, AdoptionBody, AdoptionEnd, AdoptionFilter
    needs = {"GET": "see", "POST": RULES}

    def mine(self) -> QuerySet[Adoption]:
        return Adoption.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: Adoption) -> int:
        return self.caller.boats[row.boat_id]

    def enter(self, given: dict[str, Any]) -> Adoption:
        boat = given["boat"]
        base = self.caller.boats[boat.pk]
        self.allow_at(base)
        return adopt_list(
            boat,
            self.caller.bases[base],
            given["list"],
            from_on=given.get("from_on") or self.caller.today(base),
            client_id=given["client_id"],
            **self.when,
        )

    def correct(self, row: Adoption, given: dict[str, Any]) -> Adoption:
        return leave_list(row, last=given["until_on"], **self.when)
