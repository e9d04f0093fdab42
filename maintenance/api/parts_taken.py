"""Parts taken from one boat for another, in one go, with what the donor then lacks."""

from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.components import components_of
from fleet.api.fields import LedgerBody, OneOf, Ref, Text, boats_of
from fleet.api.filters import code, days
from fleet.api.ledgers import Ledger, still_standing
from fleet.api.register_fields import about
from fleet.api.shapes import CodeOf
from maintenance.api.defects import defects_of
from maintenance.api.returns import VoidBody
from maintenance.defects.rules import GRADES
from maintenance.jobs.models import PartTaken
from maintenance.jobs.part_taken import Wanted, take_back_part, take_part
from maintenance.jobs.refitting import present_stay


class PartTakenShape(LedgerShape):
    component = CodeOf("component.code")
    from_boat = CodeOf("from_boat.code")
    to_boat = CodeOf("to_boat.code")

    class Meta:
        model = PartTaken
        fields = ("id", "component", "from_boat", "to_boat", "day", "lacks", "settles", *LEDGER)


class PartTakenBody(LedgerBody):
    """A part off the boat it is on and onto another, with its history; the donor gets its defect."""

    component = Ref(components_of, help_text="the part's code")
    to_boat = Ref(boats_of, help_text="the code of the boat it goes to")
    broken = Ref(
        components_of, required=False, allow_null=True, help_text="the code of the one it stands in for"
    )
    settles = Ref(
        defects_of, by="pk", required=False, allow_null=True, help_text="id of the defect it puts right"
    )
    who = Text(max_length=120, required=False, help_text="who takes it; you unless told")
    grade = OneOf(
        choices=GRADES,
        required=False,
        allow_blank=True,
        help_text="of what the donor lacks; unsafe or limits use by the kind of thing unless told",
    )


class PartTakenFilter(filters.FilterSet):
    boat = filters.CharFilter(method="of_boat", max_length=64, label="from or to this boat")
    component = code("component__code", "this part")
    locals().update(days("day"))

    def of_boat(self, rows: QuerySet[PartTaken], name: str, value: str) -> QuerySet[PartTaken]:
        return rows.filter(Q(from_boat__code=value) | Q(to_boat__code=value))


class PartsTaken(Ledger):
    """Parts taken from one boat for another; undone whole on the day it was said."""

    shape, takes, corrects = PartTakenShape, PartTakenBody, VoidBody
    filterset_class = PartTakenFilter
    needs = {"GET": "see", "POST": "put a defect right"}

    def mine(self) -> QuerySet[PartTaken]:
        return PartTaken.objects.filter(from_boat__in=self.caller.boats, to_boat__in=self.caller.boats)

    def base_of(self, row: PartTaken) -> int:
        return self.caller.boats[row.to_boat_id]

    def enter(self, given: dict[str, Any]) -> PartTaken:
        component, to_boat = given["component"], given["to_boat"]
        self.allow_at(self.caller.boats[to_boat.pk])
        with about("component"):
            self.allow_at(self.caller.boats[present_stay(component).boat_id])
        settles = given.get("settles")
        wanted = Wanted(given.get("broken"), settles and still_standing(settles))
        with about("component", step="settles", on="component", meter="component", boat="to_boat"):
            return take_part(
                component,
                to_boat,
                wanted=wanted,
                who=given.get("who") or self.caller.person.name,
                grade=given.get("grade", ""),
                client_id=given["client_id"],
                **self.when,
            )

    def correct(self, row: PartTaken, given: dict[str, Any]) -> PartTaken:
        return take_back_part(row, **self.when)
