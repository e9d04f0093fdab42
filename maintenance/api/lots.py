"""Lots, serial numbers and last days: what tells parts of one number apart, and where each lies."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet
from rest_framework import serializers

from fleet.api.caller import Caller
from fleet.api.fields import Body, Ref
from fleet.api.filters import code, day
from fleet.api.register_fields import UsualDay, line
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Row, Table
from fleet.refused import Refused
from maintenance.api.returns import places_seen
from maintenance.spares.facts import lots_at
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import Lot, StockMove

MARKS = ("mark", "serial", "expires_on")


def lots_seen(caller: Caller) -> QuerySet[Lot]:
    """Lots that ever lay in the stores of one's bases or aboard their boats."""
    places = places_seen(caller).order_by().values("pk")
    moves = StockMove.objects.filter(Q(from_place__in=places) | Q(to_place__in=places), lot__isnull=False)
    return Lot.objects.filter(pk__in=moves.values("lot")).order_by()


class MarkedBody(Body):
    # Which lot, by its id, or by what is written on it where it is new to the book.

    lot = Ref(lots_seen, by="pk", required=False, allow_null=True, help_text="its id; null: of no lot")
    mark = line(80, help_text="where it is new to the book: the lot as it is written on it")
    serial = line(80, help_text="of a single unit: text, it keeps its zeros")
    expires_on = UsualDay(required=False, allow_null=True, help_text="the last day it is good")


def lot_given(given: dict[str, Any], *, marks: bool) -> Lot | None:
    """The lot that was named, or kept by its marks where those may be given; taken out of what was given.
    Refused for both, or for marks where the lot's id is wanted."""
    lot = given.pop("lot", None)
    said = {name: given.pop(name, None) for name in MARKS}
    marked = Marked(said["mark"] or "", said["serial"] or "", said["expires_on"])
    if not marked:
        return lot
    first = next(name for name in MARKS if said[name])
    if lot is not None or not marks:
        raise Refused(f"{first}: wanted nothing where the lot is told by its id")
    return keep_lot(given["spare"], marked)


class LotPlaceShape(serializers.Serializer):
    """So much of a lot at a place."""

    place = serializers.IntegerField(help_text="the place's id")
    on_hand = serializers.DecimalField(None, 3)


class LotShape(Shape):
    spare = CodeOf("spare.code")
    lies = LotPlaceShape(many=True, help_text="where the book has it at your bases")
    beside = ("lies",)

    class Meta:
        model = Lot
        fields = ("id", "spare", "mark", "serial", "expires_on", "lies")


class LotFilter(filters.FilterSet):
    spare = code("spare__code", "of this spare")
    mark = filters.CharFilter(max_length=80, label="with this mark")
    serial = filters.CharFilter(max_length=80, label="with this serial number")
    from_day = day("expires_on", "good to this day or longer", "gte")
    to_day = day("expires_on", "good to this day or less long", "lte")


class Lots(Table):
    """The lots that lay at your bases; one is made when it is received or counted."""

    shape, filterset_class = LotShape, LotFilter

    def rows(self) -> QuerySet[Lot]:
        return lots_seen(self.caller)

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        places = places_seen(self.caller).order_by().values_list("pk", flat=True)
        lies: dict[int, list[Row]] = defaultdict(list)
        for (_, place), of in sorted(lots_at(list(places)).items()):
            for lot, quantity in of.items():
                lies[lot].append({"place": place, "on_hand": quantity})
        for row in rows:
            row["lies"] = lies[row["id"]]
