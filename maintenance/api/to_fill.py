"""Filling the boats' kits: what each lacks, the shelf to take it from, and that it went aboard."""

from collections.abc import Sequence
from typing import Any

import django_filters as filters
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.fields import Body, LedgerBody, Ref, each, how_many
from fleet.api.ledgers import with_client_id
from fleet.api.problems import Conflict
from fleet.api.register_fields import UsualDay, about
from fleet.api.schema import KEY, DescribedOnce
from fleet.api.worked_out import Record, WorkedOut
from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.models import Boat
from fleet.ledger import once
from maintenance.api.returns import places_seen
from maintenance.api.spares import spares_known
from maintenance.api.stock_moves import ANOTHERS, StockMoves, StockMoveShape, Stores
from maintenance.spares.models import Spare, StockMove
from maintenance.spares.restocking import Fill, fill_kits, to_fill

MOST = 500


class ToFillShape(serializers.Serializer):
    """So much of a part that a boat's kit lacks, and the shelf to take it from."""

    base = serializers.CharField()
    boat = serializers.CharField()
    place = serializers.IntegerField(help_text="id of the place aboard")
    place_name = serializers.CharField()
    spare = serializers.CharField()
    name = serializers.CharField()
    unit = serializers.CharField(allow_blank=True)
    lacks = serializers.DecimalField(None, 3)
    from_place = serializers.IntegerField(
        allow_null=True, help_text="id of the shelf; null: no store has any"
    )
    from_place_name = serializers.CharField(allow_blank=True)
    there = serializers.DecimalField(None, 3, help_text="what that shelf has")
    can = serializers.DecimalField(None, 3, help_text="as many as can be put aboard now")


class FillBody(Body):
    """So much of a part, from a shelf of the base's into a boat's kit."""

    spare = Ref(spares_known, help_text="its code")
    from_place = Ref(places_seen, by="pk", help_text="id of the shelf ashore")
    place = Ref(places_seen, by="pk", help_text="id of the place aboard")
    quantity = how_many("0.001")

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        wrong = {}
        if given["from_place"].base_id is None:
            wrong["from_place"] = ["wanted a place in a base's store"]
        if given["place"].boat_id is None:
            wrong["place"] = ["wanted a place aboard"]
        if wrong:
            raise serializers.ValidationError(wrong)
        return given


class FillingBody(LedgerBody):
    """What was put aboard, all of it or nothing."""

    lines = each(FillBody, MOST)
    day = UsualDay(required=False, help_text="today unless told")

    def validate_lines(self, value: Sequence[Any]) -> Sequence[Any]:
        if not value:
            raise serializers.ValidationError("wanted at least one part")
        return value


class FilledShape(serializers.Serializer):
    """The stock moves by which it went aboard."""

    moves = StockMoveShape(many=True)


class ToFillFilter(filters.FilterSet):
    base = filters.CharFilter(max_length=64, label="of this base's boats")
    boat = filters.CharFilter(max_length=64, label="of this boat's kit")
    spare = filters.CharFilter(max_length=64, label="of this spare")


class ToFill(WorkedOut, Stores):
    """What the boats' kits lack, boat by boat; what one is to get is not promised to the next."""

    shape, takes, filterset_class = ToFillShape, FillingBody, ToFillFilter
    schema = DescribedOnce()
    gives, asks = {"create": FilledShape}, {"create": (KEY,)}
    queryset = Spare.objects.none()
    needs = {"GET": "see", "POST": "count stock"}
    keys = 3
    http_method_names = ("get", "post", "head", "options")

    def list(self, request: Request) -> Response:
        asked = self.asked(request)
        lines = [_told(fill, base) for base in self.bases(asked["base"]) for fill in self._fills(base)]
        wanted = [one for one in lines if _as_asked(one, asked)]
        return Response(self.page(request, wanted, _key))

    def _fills(self, base: Base) -> Sequence[Fill]:
        on = self.caller.today(base.pk)
        boats = Boat.objects.of_base(base.pk, on).order_by("name", "pk").values_list("pk", flat=True)
        return to_fill(base.pk, list(boats), on=on)

    def create(self, request: Request) -> Response:
        """Puts spares aboard, once for one `client_id`."""
        given = self.body(FillingBody, with_client_id(request)).validated_data
        lines, client_id = given["lines"], given.get("client_id") or None
        self.allow_in(place for one in lines for place in (one["from_place"], one["place"]))
        fills = [(_fill(one), one["quantity"]) for one in lines]
        day = given.get("day") or self.caller.today(lines[0]["from_place"].base_id)
        made: list[bool] = []

        def keep() -> Sequence[StockMove]:
            take_turn()
            if (there := self._known(client_id)) is not None:
                return there
            made.append(True)
            return fill_kits(fills, day=day, client_id=client_id, **self.when)

        with about("lines", to_place="lines", from_place="lines", quantity="lines", lot="lines"):
            moves = once(lambda: self._known(client_id), keep)
        told = StockMoves(request=request, caller=self.caller)
        return Response({"moves": [told.told(move) for move in moves]}, status=201 if made else 200)

    def _known(self, client_id: str | None) -> Sequence[StockMove] | None:
        """What was kept under a `client_id`: its first move has it, the others its moment; Conflict where
        it is something else's."""
        first = StockMove.objects.filter(client_id=client_id).first() if client_id else None
        if first is None:
            return None
        seen = places_seen(self.caller).order_by().values("pk")
        mine = StockMove.objects.filter(from_place__in=seen, to_place__boat__isnull=False, why="moved")
        if not mine.filter(pk=first.pk).exists():
            raise Conflict(ANOTHERS)
        same = mine.filter(recorded_at=first.recorded_at, recorded_by=first.recorded_by, pk__gte=first.pk)
        return list(same.order_by("pk"))


def _fill(one: dict[str, Any]) -> Fill:
    place = one["place"]
    return Fill(place.boat, place, one["spare"], one["quantity"], one["from_place"], one["quantity"])


def _as_asked(line: Record, asked: Record) -> bool:
    return all(not asked[name] or line[name] == asked[name] for name in ("boat", "spare"))


def _key(line: Record) -> tuple[str, ...]:
    return (str(line["place"]), line["spare"], str(line["from_place"]))


def _told(fill: Fill, base: Base) -> Record:
    return {
        "base": base.code,
        "boat": fill.boat.code,
        "place": fill.place.pk,
        "place_name": str(fill.place),
        "spare": fill.spare.code,
        "name": fill.spare.name,
        "unit": fill.spare.unit,
        "lacks": fill.lacks,
        "from_place": fill.from_place.pk if fill.from_place is not None else None,
        "from_place_name": str(fill.from_place or ""),
        "there": fill.there,
        "can": fill.can,
    }
