"""Seals of the boats' kits: which number closes which box since when."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.fields import LedgerBody, Ref, boats_of
from fleet.api.filters import BaseCode, code, days, yes_no
from fleet.api.ledgers import Ledger
from fleet.api.register_fields import UsualDay, line
from fleet.api.shapes import CodeOf
from maintenance.api.returns import VoidBody
from maintenance.spares.models import KitSeal
from maintenance.spares.sealing import seal_kit, seals_of, take_back_seal


class SealShape(LedgerShape):
    boat = CodeOf("place.boat.code")

    class Meta:
        model = KitSeal
        fields = ("id", "boat", "place", "number", "day", "who", *LEDGER)


class SealBody(LedgerBody):
    """The seal that was put on a boat's kit; a blank number says that it stays open."""

    boat = Ref(boats_of, help_text="her code")
    number = line(40, help_text="as it stands on the seal: text, it keeps its zeros")
    day = UsualDay(required=False, help_text="today unless told")
    who = line(120, help_text="who put it on; you unless told")


class SealFilter(filters.FilterSet):
    base = BaseCode("place__boat")
    boat = code("place__boat__code", "of this boat's kit")
    number = filters.CharFilter(max_length=40, label="with this number")
    closes = yes_no("whether it closes a kit now", method="by_now")
    locals().update(days("day"))

    def by_now(self, rows: QuerySet[KitSeal], name: str, value: bool) -> QuerySet[KitSeal]:
        now = [seal.pk for seal in seals_of(self.request.caller_of_api.boats).values()]
        return rows.filter(pk__in=now) if value else rows.exclude(pk__in=now)


class Seals(Ledger):
    """The seals of the boats' kits; the last one put on a boat's closes it."""

    shape, takes, corrects, filterset_class = SealShape, SealBody, VoidBody, SealFilter
    needs = {"GET": "see", "POST": "count stock"}

    def mine(self) -> QuerySet[KitSeal]:
        return KitSeal.objects.filter(place__boat__in=self.caller.boats)

    def base_of(self, row: KitSeal) -> int:
        return self.caller.boats[row.place.boat_id or 0]

    def enter(self, given: dict[str, Any]) -> KitSeal:
        boat = given["boat"]
        base = self.caller.boats[boat.pk]
        self.allow_at(base)
        return seal_kit(
            boat,
            number=given.get("number", ""),
            day=given.get("day") or self.caller.today(base),
            who=given.get("who") or self.caller.person.name,
            client_id=given["client_id"],
            **self.when,
        )

    def correct(self, row: KitSeal, given: dict[str, Any]) -> KitSeal:
        return take_back_seal(row, client_id=given["client_id"], **self.when)
