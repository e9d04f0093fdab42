"""What parts cost, boat by boat, from one day to another; only for who may see prices."""

from collections.abc import Sequence
from datetime import date
from typing import Any

import django_filters as filters
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.answers import as_money
from fleet.api.filters import WANTED_DAY
from fleet.api.worked_out import Record, WorkedOut
from fleet.bases.models import Base
from fleet.boats.models import Boat
from maintenance.ordering.costs import cost_by_boat, parts_used
from maintenance.ordering.money import Cost

SEEN = "see prices"


class SumShape(serializers.Serializer):
    """So much in one currency."""

    amount = serializers.DecimalField(None, 4, coerce_to_string=True)
    currency = serializers.CharField()


class CostShape(serializers.Serializer):
    """What the parts of one boat cost, each at the price in force on the day it was used."""

    base = serializers.CharField()
    boat = serializers.CharField(allow_null=True, help_text="null: parts nobody said a boat of")
    from_day = serializers.DateField()
    to_day = serializers.DateField()
    sums = SumShape(many=True, help_text="one for each currency: nothing is converted")
    without_price = serializers.IntegerField(help_text="parts that nobody knows the price of, left out above")


class CostFilter(filters.FilterSet):
    base = filters.CharFilter(max_length=64, label="of this base")
    boat = filters.CharFilter(max_length=64, label="of this boat")
    from_day = filters.DateFilter(
        error_messages=WANTED_DAY, label="used on this day or later; the first of that year unless told"
    )
    to_day = filters.DateFilter(
        error_messages=WANTED_DAY, label="used on this day or before; today unless told"
    )


class Costs(WorkedOut):
    """What the parts used on each boat cost between two days, both counted; without tax and without work."""

    shape, filterset_class = CostShape, CostFilter
    queryset = Boat.objects.none()
    needs = {"GET": SEEN}

    def list(self, request: Request) -> Response:
        asked = self.asked(request)
        bases = [base for base in self.bases(asked["base"]) if self.caller.may(SEEN, base.pk)]
        lines = [line for base in bases for line in self._lines(base, asked)]
        wanted = [line for line in lines if asked["boat"] in ("", line["boat"])]
        return Response(self.page(request, wanted, lambda line: (line["base"], line["boat"] or "")))

    def _lines(self, base: Base, asked: Record) -> Sequence[Record]:
        until: date = asked["to_day"] or self.caller.today(base.pk)
        since: date = asked["from_day"] or until.replace(month=1, day=1)
        if since > until:
            raise ValidationError({"from_day": ["wanted a day up to to_day"]})
        boats = [boat for boat, whose in self.caller.boats.items() if whose == base.pk]
        costs = cost_by_boat(parts_used(base, boats, since=since, until=until))
        known = Boat.objects.in_bulk({*boats, *(boat for boat in costs if boat is not None)})
        told: dict[Any, Cost] = {boat.code: costs.get(pk, Cost()) for pk, boat in known.items()}
        if None in costs:
            told[None] = costs[None]
        when = {"base": base.code, "from_day": since, "to_day": until}
        return [_told(boat, when, told[boat]) for boat in sorted(told, key=lambda code: code or "")]


def _told(boat: str | None, when: Record, cost: Cost) -> Record:
    sums = [{"amount": as_money(one.amount), "currency": one.currency} for one in cost.sums]
    return {"boat": boat, **when, "sums": sums, "without_price": cost.unknown}
