"""How many of each spare a base should hold ashore, why, and what falls short: worked out for today."""

from collections.abc import Sequence
from typing import Any

import django_filters as filters
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.answers import as_money
from fleet.api.fields import Amount
from fleet.api.filters import yes_no
from fleet.api.worked_out import Record, WorkedOut
from fleet.bases.models import Base
from fleet.boats.models import Boat
from maintenance.ordering.facts import shelves
from maintenance.ordering.shelf import Shelf
from maintenance.spares.models import Spare


class ToHoldShape(serializers.Serializer):
    """One spare of a base: what lies where, how many to hold ashore, and the sentence that says why."""

    base = serializers.CharField()
    spare = serializers.CharField()
    name = serializers.CharField()
    part_number = serializers.CharField(allow_blank=True)
    unit = serializers.CharField(allow_blank=True)
    supplier = serializers.CharField(allow_blank=True)
    lead_days = serializers.IntegerField(allow_null=True, help_text="days an order takes, where known")
    days = serializers.IntegerField(help_text="days ahead that are looked at: an order, and the next look")
    ashore = serializers.DecimalField(None, 3)
    run_out = serializers.DecimalField(None, 3, help_text="of these, what is no longer good")
    aboard = serializers.DecimalField(None, 3, help_text="in the boats' kits, where the book can be right")
    astray = serializers.DecimalField(None, 3, help_text="what is looked for")
    on_its_way = serializers.DecimalField(None, 3, help_text="ordered, sent and not here yet")
    to_hold = serializers.DecimalField(None, 3, help_text="ashore")
    why = serializers.CharField()
    plain = serializers.DecimalField(
        None,
        3,
        allow_null=True,
        help_text="what the plain rule would hold, where its price decides",
    )
    lead_why = serializers.CharField(help_text="how long an order takes, and how that is known")
    kits_lack = serializers.DecimalField(None, 3, help_text="what the kits are to be filled with")
    short = serializers.DecimalField(
        None, 3, help_text="how many are missing ashore and not on their way, the kits' among them"
    )
    to_order = serializers.DecimalField(None, 3, help_text="in whole packs")
    to_order_why = serializers.CharField()
    price = Amount(allow_null=True, help_text="of one; null: not known, or not for you to see")
    currency = serializers.CharField(allow_null=True)


class ToHoldFilter(filters.FilterSet):
    base = filters.CharFilter(max_length=64, label="of this base")
    spare = filters.CharFilter(max_length=64, label="of this spare")
    supplier = filters.CharFilter(max_length=120, label="from this supplier")
    short = yes_no("where some are missing, or none is", method="as_asked")

    def as_asked(self, rows: Any, name: str, value: Any) -> Any:
        return rows


class ToHold(WorkedOut):
    """How many of each spare to hold ashore: by the due list and by what was used beyond it. Tasks never
    recorded are not counted."""

    shape, filterset_class = ToHoldShape, ToHoldFilter
    queryset = Spare.objects.none()

    def list(self, request: Request) -> Response:
        asked = self.asked(request)
        lines = [line for base in self.bases(asked.get("base")) for line in self._lines(base)]
        return Response(self.page(request, [line for line in lines if _as_asked(line, asked)], _key))

    def _lines(self, base: Base) -> Sequence[Record]:
        on = self.caller.today(base.pk)
        boats = list(Boat.objects.of_base(base.pk, on).values_list("pk", flat=True))
        prices = self.caller.may("see prices", base.pk)
        return [_told(shelf, base, prices) for shelf in shelves(base, boats, on=on)]


def _as_asked(line: Record, asked: Record) -> bool:
    if any(asked.get(name) and line[name] != asked[name] for name in ("spare", "supplier")):
        return False
    return asked.get("short") in (None, "") or bool(line["short"]) == asked["short"]


def _told(shelf: Shelf, base: Base, prices: bool) -> Record:
    spare, price = shelf.spare, shelf.price if prices else None
    return {
        "base": base.code,
        "spare": spare.code,
        "name": spare.name,
        "part_number": spare.part_number,
        "unit": spare.unit,
        "supplier": spare.supplier,
        "lead_days": spare.lead_days,
        "days": shelf.days,
        "ashore": shelf.ashore,
        "run_out": shelf.run_out,
        "aboard": shelf.aboard,
        "astray": shelf.astray,
        "on_its_way": shelf.on_its_way,
        "to_hold": shelf.hold.quantity,
        "why": shelf.hold.said(prices=prices),
        "plain": shelf.plain.quantity if shelf.plain is not None else None,
        "lead_why": shelf.lead.why,
        "kits_lack": shelf.kits_lack,
        "short": shelf.short,
        "to_order": shelf.order.quantity,
        "to_order_why": shelf.order.said(prices=prices),
        "price": as_money(price.amount) if price is not None else None,
        "currency": price.currency if price is not None else None,
    }


def _key(line: Record) -> tuple[str, str]:
    return line["base"], line["spare"]
