"""Boats held by name, and the rules that hold boats as each base finds them."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.fields import LedgerBody, Ref, Text, boats_of
from fleet.api.filters import BaseCode, code, yes_no
from fleet.api.ledgers import Ledger
from fleet.api.shapes import CodeOf
from maintenance.release.actions import hold_boat, lift_hold
from maintenance.release.models import Hold


class HoldShape(LedgerShape):
    boat = CodeOf("boat.code")
    who = CodeOf("by", help_text="who holds her, by name")

    class Meta:
        model = Hold
        fields = ("id", "boat", "why", "who", "lifted", "lifted_by", *LEDGER)


class HoldBody(LedgerBody):
    """A boat kept in by a named person, for a reason of theirs."""

    boat = Ref(boats_of, help_text="her code")
    why = Text(max_length=500)
    who = Text(max_length=120, required=False, help_text="who holds her; you unless told")


class HoldLift(LedgerBody):
    """Why she is held no more, and who says so."""

    why = Text(max_length=500)
    who = Text(max_length=120, required=False, help_text="who lifts it; you unless told")


class HoldFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    lifted = yes_no("holds her no more", method="by_end")

    def by_end(self, rows: QuerySet[Hold], name: str, value: bool) -> QuerySet[Hold]:
        return rows.exclude(lifted="") if value else rows.filter(lifted="")


class Holds(Ledger):
    """Boats kept in by name; what stands for one of them lifts it."""

    shape, takes, corrects, filterset_class = HoldShape, HoldBody, HoldLift, HoldFilter
    needs = {"GET": "see", "POST": "release a boat"}

    def mine(self) -> QuerySet[Hold]:
        return Hold.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: Hold) -> int:
        return self.caller.boats[row.boat_id]

    def enter(self, given: dict[str, Any]) -> Hold:
        boat = given.pop("boat")
        self.allow_at(self.caller.boats[boat.pk])
        given["who"] = given.get("who") or self.caller.person.name
        return hold_boat(boat, **given, **self.when)

    def correct(self, row: Hold, given: dict[str, Any]) -> Hold:
        given["who"] = given.get("who") or self.caller.person.name
        return lift_hold(row, **given, **self.when)
