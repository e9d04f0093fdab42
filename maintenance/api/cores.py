"""Cores: worn-out units of exchange parts, owed to who sold the new ones; and what went back."""

from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.boat_register import bases_of
from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.fields import LedgerBody, Ref, how_many
from fleet.api.filters import code, days
from fleet.api.ledgers import Ledger
from fleet.api.register_fields import UsualDay, line
from fleet.api.shapes import CodeOf
from fleet.api.worked_out import Record, WorkedOut
from fleet.bases.models import Base
from maintenance.api.returns import VoidBody
from maintenance.api.spares import spares_known
from maintenance.api.stock_moves import places_of_base
from maintenance.spares.cores import cores_due, send_core_back, take_back_core
from maintenance.spares.models import CoreBack, Spare


class CoreBackShape(LedgerShape):
    base = CodeOf("base.code")
    spare = CodeOf("spare.code")

    class Meta:
        model = CoreBack
        fields = ("id", "base", "spare", "quantity", "day", "words", *LEDGER)


class CoreBackBody(LedgerBody):
    """That so many worn-out units went back."""

    base = Ref(bases_of, help_text="the base's code")
    spare = Ref(spares_known, help_text="the code of the exchange part")
    quantity = how_many("0.001")
    day = UsualDay(required=False, help_text="today unless told")
    words = line(200, help_text="to whom, by which paper")


class CoreBackFilter(filters.FilterSet):
    base = code("base__code", "of this base")
    spare = code("spare__code", "of this spare")
    locals().update(days("day"))


class CoresBack(Ledger):
    """Worn-out units that went back to who sold the new ones."""

    shape, takes, corrects, filterset_class = CoreBackShape, CoreBackBody, VoidBody, CoreBackFilter
    needs = {"GET": "see", "POST": "count stock"}

    def mine(self) -> QuerySet[CoreBack]:
        return CoreBack.objects.filter(base__in=self.caller.bases)

    def base_of(self, row: CoreBack) -> int:
        return row.base_id

    def enter(self, given: dict[str, Any]) -> CoreBack:
        base = given.pop("base")
        self.allow_at(base.pk)
        given["day"] = given.get("day") or self.caller.today(base.pk)
        places = places_of_base(self.caller, base.code).values_list("pk", flat=True)
        return send_core_back(given.pop("spare"), base=base, places=list(places), **given, **self.when)

    def correct(self, row: CoreBack, given: dict[str, Any]) -> CoreBack:
        return take_back_core(row, **self.when)


class CoreDueShape(serializers.Serializer):
    """So many worn-out units of a part that are to go back."""

    base = serializers.CharField()
    spare = serializers.CharField()
    name = serializers.CharField()
    part_number = serializers.CharField(allow_blank=True)
    supplier = serializers.CharField(allow_blank=True)
    quantity = serializers.DecimalField(None, 3)
    since = serializers.DateField(help_text="since when the oldest of them is owed")


class CoreDueFilter(filters.FilterSet):
    base = filters.CharFilter(max_length=64, label="of this base")
    spare = filters.CharFilter(max_length=64, label="of this spare")
    supplier = filters.CharFilter(max_length=120, label="to this supplier")


class CoresDue(WorkedOut):
    """What is to go back of exchange parts that were used, the longest owed first."""

    shape, filterset_class = CoreDueShape, CoreDueFilter
    queryset = Spare.objects.none()

    def list(self, request: Request) -> Response:
        asked = self.asked(request)
        lines = [line for base in self.bases(asked.get("base")) for line in self._lines(base)]
        wanted = [line for line in lines if _as_asked(line, asked)]
        return Response(self.page(request, wanted, lambda line: (line["base"], line["spare"])))

    def _lines(self, base: Base) -> Sequence[Record]:
        places = places_of_base(self.caller, base.code).values_list("pk", flat=True)
        return [
            {
                "base": base.code,
                "spare": due.spare.code,
                "name": due.spare.name,
                "part_number": due.spare.part_number,
                "supplier": due.spare.supplier,
                "quantity": due.quantity,
                "since": due.since,
            }
            for due in cores_due(base.pk, list(places))
        ]


def _as_asked(line: Record, asked: Record) -> bool:
    return all(not asked.get(name) or line[name] == asked[name] for name in ("spare", "supplier"))
