"""Handovers: that a boat was given to a charter, and what its skipper was told, frozen as it was."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.charters import charters_of
from fleet.api.fields import LedgerBody, Ref, Text
from fleet.api.filters import BaseCode, code
from fleet.api.ledgers import Ledger
from fleet.api.register_fields import about, line
from fleet.api.shapes import CodeOf
from maintenance.api.returns import VoidBody
from maintenance.turnaround.handing_over import hand_over, take_back_handover
from maintenance.turnaround.models import Handover


class HandoverShape(LedgerShape):
    charter = CodeOf("charter.code")
    boat = CodeOf("boat.code")
    who = CodeOf("by", help_text="who handed over, by name")
    told = serializers.DictField(help_text="limits, known damage and what was deferred, as told then")
    not_done = serializers.ListField(
        child=serializers.CharField(), help_text="what was missing when it was opened all the same"
    )

    class Meta:
        model = Handover
        fields = ("id", "charter", "boat", "release", "who", "told", "not_done", "why", *LEDGER)


class HandoverBody(LedgerBody):
    """That the boat of a charter is given to it. Where the return was not inspected, the round not
    signed or the boat not released, only with a reason; while anything holds her, not at all."""

    charter = Ref(charters_of, help_text="its code")
    who = Text(max_length=120, required=False, help_text="who hands over; you unless told")
    why = line(500, help_text="why it is opened all the same")


class HandoverFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    charter = code("charter__code", "to this charter")


class Handovers(Ledger):
    """Boats given to charters, and what each skipper was told; taken back on the day."""

    shape, takes, corrects, filterset_class = HandoverShape, HandoverBody, VoidBody, HandoverFilter
    needs = {"GET": "see", "POST": "hand over"}

    def mine(self) -> QuerySet[Handover]:
        return Handover.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: Handover) -> int:
        return self.caller.boats[row.boat_id]

    def enter(self, given: dict[str, Any]) -> Handover:
        charter = given["charter"]
        self.allow_at(self.caller.boats[charter.boat_id])
        who, why = given.get("who") or self.caller.person.name, given.get("why", "")
        with about("charter", held="charter"):
            return hand_over(
                charter.boat, charter, who=who, why=why, client_id=given["client_id"], **self.when
            )

    def correct(self, row: Handover, given: dict[str, Any]) -> Handover:
        return take_back_handover(row, **self.when)
