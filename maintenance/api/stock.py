"""What lies where: on hand by spare and place, worked out from the moves."""

from collections.abc import Iterator, Mapping
from datetime import date
from decimal import Decimal
from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.caller import Caller
from fleet.api.filters import WANTED_DAY, code, number, refuse_unknown, yes_no
from fleet.api.paging import after, cursor_of, next_page, page_size
from fleet.api.schema import FIELDS
from fleet.api.shapes import chosen, names_of
from fleet.api.tables import Door, Row
from fleet.boats.models import Place
from maintenance.api.returns import places_seen
from maintenance.api.stock_moves import places_of_base
from maintenance.spares.facts import allowances, hands, lots_at
from maintenance.spares.models import Allowance, Lot, Spare
from maintenance.spares.stock import Where

ORDER = ("spare_id", "place_id")


class StockLotShape(serializers.Serializer):
    """So much of one lot there."""

    lot = serializers.IntegerField(help_text="its id")
    mark = serializers.CharField(allow_blank=True)
    serial = serializers.CharField(allow_blank=True, help_text="of a single unit")
    expires_on = serializers.DateField(allow_null=True, help_text="the last day it is good")
    run_out = serializers.BooleanField(help_text="whether that day is past")
    on_hand = serializers.DecimalField(None, 3)


class StockShape(serializers.Serializer):
    """What lies of a spare at a place, and what should."""

    base = serializers.CharField(allow_null=True, help_text="whose store; null aboard")
    boat = serializers.CharField(allow_null=True, help_text="aboard which boat; null ashore")
    place = serializers.IntegerField(help_text="the place's id")
    place_name = serializers.CharField()
    spare = serializers.CharField()
    name = serializers.CharField(help_text="the spare's")
    unit = serializers.CharField(allow_blank=True)
    on_hand = serializers.DecimalField(None, 3)
    lots = StockLotShape(many=True, help_text="what of it has a mark, a number or a last day")
    allowance = serializers.DecimalField(10, 3, allow_null=True, help_text="how many should lie there")
    short = serializers.BooleanField(help_text="less than the allowance")
    to_count = serializers.BooleanField(help_text="the book says less than nothing: somebody has to look")


class StockFilter(filters.FilterSet):
    """The places looked at and the day, then which lines of them."""

    on = filters.DateFilter(
        method="as_asked",
        label="at the end of this day, by what is known now; today unless told",
        error_messages=WANTED_DAY,
    )
    base = filters.CharFilter(method="at_base", max_length=64, label="in this base's stores, or aboard")
    boat = code("boat__code", "aboard this boat")
    place = number("pk", "at the place with this id")
    spare = filters.CharFilter(method="as_asked", max_length=64, label="of this spare")
    short = yes_no("less than the allowance", method="as_asked")
    to_count = yes_no("where the book says less than nothing", method="as_asked")

    def at_base(self, rows: QuerySet[Place], name: str, value: str) -> QuerySet[Place]:
        return rows.filter(pk__in=places_of_base(self.request.caller_of_api, value).values("pk"))

    def as_asked(self, rows: QuerySet[Place], name: str, value: Any) -> QuerySet[Place]:
        return rows


class Stock(Door):
    """What lies in your bases' stores and aboard, against what should: for today or another day."""

    shape, filterset_class = StockShape, StockFilter
    asks = {"list": (FIELDS,)}
    http_method_names = ("get", "head", "options")

    def get_queryset(self) -> QuerySet[Place]:
        """The places looked at; none where the API is only described, for then nobody calls."""
        if getattr(self, "swagger_fake_view", False):
            return Place.objects.none()
        return places_seen(self.caller).order_by()

    def list(self, request: Request) -> Response:
        refuse_unknown(request, self.caller, StockFilter.base_filters)
        names = chosen(request, names_of(StockShape))
        size = page_size(request)
        key = after(request, ORDER, Allowance.objects.all())
        places = self.filter_queryset(self.get_queryset()).select_related("base", "boat", "parent")
        found = list(_lines({place.pk: place for place in places}, request, self.caller, key, size + 1))
        cursor = cursor_of(found[size - 1][0]) if len(found) > size else None
        results = [{name: line[name] for name in names} for _, line in found[:size]]
        return Response({"next": next_page(request, cursor), "results": results})


def _lines(
    places: dict[int, Place], request: Request, caller: Caller, key: Any, most: int
) -> Iterator[tuple[Where, Row]]:
    """The lines behind a key, as many as are wanted, each with the key it stands at."""
    asked = request.query_params.get("on", "").strip()
    on = date.fromisoformat(asked) if asked else None
    held = hands(places.keys(), on=on)
    should = allowances(on=on or caller.latest_today, places=places.keys())
    behind = sorted(where for where in held.keys() | should.keys() if key is None or where > key)
    spares = Spare.objects.in_bulk({spare for spare, _ in behind})
    lots = _lots(places, on, on or caller.latest_today)
    for where in behind:
        line = _line(spares[where[0]], places[where[1]], held.get(where, Decimal(0)), should.get(where))
        line["lots"] = lots.get(where, [])
        if all(_as_asked(request, name, line[name]) for name in ("spare", "short", "to_count")):
            yield where, line
            most -= 1
        if most == 0:
            return


def _lots(places: Mapping[int, Place], on: date | None, today: date) -> dict[Where, list[Row]]:
    """What lies of each lot, the first to run out first; two queries."""
    lying = lots_at(places.keys(), on=on)
    lots = Lot.objects.in_bulk({lot for of in lying.values() for lot in of})
    found: dict[Where, list[Row]] = {}
    for where, of in lying.items():
        told = [_told_lot(lots[key], quantity, today) for key, quantity in of.items()]
        found[where] = sorted(told, key=lambda lot: (lot["expires_on"] or date.max, lot["lot"]))
    return found


def _told_lot(lot: Lot, on_hand: Decimal, today: date) -> Row:
    return {
        "lot": lot.pk,
        "mark": lot.mark,
        "serial": lot.serial,
        "expires_on": lot.expires_on,
        "run_out": lot.expires_on is not None and lot.expires_on < today,
        "on_hand": on_hand,
    }


def _as_asked(request: Request, name: str, value: Any) -> bool:
    asked = request.query_params.get(name, "").strip()
    said = value if isinstance(value, str) else str(value).lower()
    return not asked or asked == said


def _line(spare: Spare, place: Place, on_hand: Decimal, allowance: Decimal | None) -> Row:
    return {
        "base": place.base.code if place.base else None,
        "boat": place.boat.code if place.boat else None,
        "place": place.pk,
        "place_name": str(place),
        "spare": spare.code,
        "name": spare.name,
        "unit": spare.unit,
        "on_hand": on_hand,
        "allowance": allowance,
        "short": allowance is not None and on_hand < allowance,
        "to_count": on_hand < 0,
    }
