"""Counts of stock: what lay at a place, and the move that makes good the difference."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.fields import Day, LedgerBody, Ref, how_many
from fleet.api.ledgers import with_client_id
from fleet.api.problems import Conflict
from fleet.api.register_fields import line
from fleet.api.schema import KEY, DescribedOnce
from fleet.bases.turns import take_turn
from fleet.ledger import once
from maintenance.api.lots import MarkedBody, lot_given
from maintenance.api.returns import places_seen
from maintenance.api.spares import spares_known
from maintenance.api.stock_moves import ANOTHERS, WORDS, Stores
from maintenance.spares.actions import count_stock
from maintenance.spares.facts import book_before
from maintenance.spares.models import Lot, StockMove
from maintenance.spares.moving import refuse_day


class CountBody(MarkedBody, LedgerBody):
    """What was counted of a spare at a place, or of one lot of it: the book then says the same."""

    spare = Ref(spares_known, help_text="its code")
    place = Ref(places_seen, by="pk", help_text="the place's id")
    counted = how_many()
    day = Day()
    words = line(WORDS, help_text="how the difference is explained")


class CountShape(serializers.Serializer):
    """What the book said and what lay there; the move that makes good the difference."""

    spare = serializers.CharField()
    place = serializers.IntegerField()
    lot = serializers.IntegerField(allow_null=True, help_text="null: of all its lots, and what has none")
    day = serializers.DateField()
    book = serializers.DecimalField(None, 3)
    counted = serializers.DecimalField(10, 3)
    move = serializers.IntegerField(allow_null=True, help_text="null where the book was right")


class Counts(Stores):
    """Counts of stock; they are listed among the stock moves. Where the book was right no row is
    kept, so that such a count sent again is a count of its own."""

    schema = DescribedOnce()
    takes, gives, asks = CountBody, {"create": CountShape}, {"create": (KEY,)}
    needs = {"POST": "count stock"}
    http_method_names = ("post", "options")

    def create(self, request: Request) -> Response:
        """Makes the book say what was counted."""
        given = self.body(CountBody, with_client_id(request)).validated_data
        self.allow_in([given["place"]])
        given["client_id"] = given.get("client_id") or None
        made: list[bool] = []
        lot: list[Lot | None] = [None]

        def keep() -> StockMove | None:
            take_turn()
            if (there := _counted(given)) is not None:  # kept by another while this one waited
                return there
            refuse_day(given["day"], given["place"], self.caller.now)
            made.append(True)
            lot[0] = lot_given(given, marks=True)
            return count_stock(**given, lot=lot[0], **self.when)

        move = once(lambda: _counted(given), keep)
        return Response(_told(given, move, lot[0]), status=201 if made else 200)


def _counted(given: dict[str, Any]) -> StockMove | None:
    """The count kept under a client_id; Conflict where that is another move's."""
    if given["client_id"] is None:
        return None
    move = StockMove.objects.filter(client_id=given["client_id"]).first()
    if move is None:
        return None
    place = given["place"].pk
    same = move.spare_id == given["spare"].pk and place in (move.from_place_id, move.to_place_id)
    if move.why != StockMove.Why.COUNTED or not same:
        raise Conflict(ANOTHERS)
    return move


def _told(given: dict[str, Any], move: StockMove | None, lot: Lot | None) -> dict[str, Any]:
    told = {"spare": given["spare"].code, "place": given["place"].pk}
    if move is None:
        return told | {
            "lot": lot and lot.pk,
            "day": given["day"],
            "book": given["counted"],
            "counted": given["counted"],
            "move": None,
        }
    book = book_before(move)
    counted = book + (move.quantity if move.to_place_id else -move.quantity)
    kept = {"lot": move.lot_id, "day": move.day, "move": move.pk}
    return told | kept | {"book": book, "counted": counted}
