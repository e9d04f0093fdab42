"""Fittings-out: that a boat was made ready for the season, signed by name."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.fields import LedgerBody, Ref, Text, boats_of
from fleet.api.filters import BaseCode, code, days
from fleet.api.ledgers import Ledger
from fleet.api.problems import Conflict
from fleet.api.register_fields import UsualDay, about, line
from fleet.api.shapes import CodeOf
from maintenance.api.returns import VoidBody
from maintenance.release.laying_up import sign_fitting_out, step_to_take_back, take_back_step
from maintenance.release.models import FittingOut


class FittingOutShape(LedgerShape):
    boat = CodeOf("boat.code")

    class Meta:
        model = FittingOut
        fields = ("id", "boat", "signed_on", "who", "words", *LEDGER)


class FittingOutBody(LedgerBody):
    """That a boat was made ready: from that day she is in use again."""

    boat = Ref(boats_of, help_text="her code")
    signed_on = UsualDay(required=False, help_text="today unless told")
    who = Text(max_length=120, required=False, help_text="who signs; you unless told")
    words = line(1000)


class FittingOutFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    locals().update(days("signed_on"))


class FittingOuts(Ledger):
    """Fittings-out as they were signed; taken back on the day it was signed. That she is laid up, or
    being fitted out, is said in her terms."""

    shape, takes, corrects, filterset_class = FittingOutShape, FittingOutBody, VoidBody, FittingOutFilter
    needs = {"GET": "see", "POST": "lay up and fit out"}

    def mine(self) -> QuerySet[FittingOut]:
        return FittingOut.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: FittingOut) -> int:
        return self.caller.boats[row.boat_id]

    def enter(self, given: dict[str, Any]) -> FittingOut:
        boat = given["boat"]
        base = self.caller.boats[boat.pk]
        self.allow_at(base)
        who, words = given.get("who") or self.caller.person.name, given.get("words", "")
        on = given.get("signed_on") or self.caller.today(base)
        with about("boat", on="signed_on"):
            return sign_fitting_out(boat, who, words, on=on, client_id=given["client_id"], **self.when)

    def correct(self, row: FittingOut, given: dict[str, Any]) -> FittingOut:
        last = step_to_take_back(row.boat, self.caller.now)
        if last is None or last.at != row.recorded_at:
            raise Conflict("Only what was said last of her winter can be taken back, on the day it was said")
        take_back_step(row.boat, **self.when)
        back: FittingOut = self.last_of(row)
        return back
