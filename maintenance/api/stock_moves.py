"""Moves of stock and counts of it: what was received, used, moved, scrapped, and what lay there."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

import django_filters as filters
from django.core.exceptions import PermissionDenied
from django.db.models import Q, QuerySet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.fields import Day, LedgerBody, OneOf, Ref, YesNo, how_many
from fleet.api.filters import MOST, code, days
from fleet.api.ledgers import Ledger, with_client_id
from fleet.api.problems import Conflict
from fleet.api.schema import KEY, Described
from fleet.api.shapes import CodeOf
from fleet.api.tables import Door
from fleet.bases.turns import take_turn
from fleet.boats.models import Place
from fleet.ledger import once
from maintenance.api.returns import places_seen
from maintenance.spares.actions import count_stock
from maintenance.spares.facts import book_before
from maintenance.spares.models import Spare, StockMove
from maintenance.spares.moving import ENDS, correct_move, move_stock, refuse_day, void_move

ANOTHERS = "client_id: wanted a new one, for it is that of another move of stock"


def spares_known(caller: Caller) -> QuerySet[Spare]:
    """All bases of this copy share them."""
    return Spare.objects.all()


def places_of_base(caller: Caller, base: str) -> QuerySet[Place]:
    """The stores of a base, and the places aboard the boats it has today."""
    boats = [boat for boat, pk in caller.boats.items() if caller.bases[pk].code == base]
    return Place.objects.filter(Q(base__code=base) | Q(boat__in=boats)).order_by()


def base_of_place(caller: Caller, place: Place) -> int | None:
    """Whose stores a place is in, or whose boat it is aboard; None where it is none of theirs."""
    return place.base_id or caller.boats.get(place.boat_id or 0)


class Stores(Door):
    """A door at which stock is written down: only by who may count it, at the base of each place."""

    def allow_in(self, places: Iterable[Place | None]) -> None:
        for place in places:
            if place is None:
                continue
            base = base_of_place(self.caller, place)
            if base is None or not self.caller.may("count stock", base):
                raise PermissionDenied("count stock")


class StockMoveShape(LedgerShape):
    spare = CodeOf("spare.code")

    class Meta:
        model = StockMove
        fields = ("id", "spare", "from_place", "to_place", "quantity", "why", "day", *LEDGER)


class StockMoveBody(LedgerBody):
    """Received needs to_place alone, used and scrapped from_place alone, moved both."""

    spare = Ref(spares_known, help_text="its code")
    from_place = Ref(places_seen, by="pk", required=False, allow_null=True, help_text="the place's id")
    to_place = Ref(places_seen, by="pk", required=False, allow_null=True, help_text="the place's id")
    quantity = how_many()
    why = OneOf(choices=tuple(ENDS))
    day = Day()


class StockMoveCorrection(LedgerBody):
    """Another quantity or day, or a move that was none."""

    quantity = how_many(required=False)
    day = Day(required=False)
    void = YesNo(default=False, help_text="takes the row back")


class StockMoveFilter(filters.FilterSet):
    base = filters.CharFilter(method="at_base", max_length=64, label="in this base's stores, or aboard")
    boat = filters.CharFilter(method="aboard", max_length=64, label="from or to aboard this boat")
    spare = code("spare__code", "of this spare")
    place = filters.NumberFilter(
        method="at_place", min_value=1, max_value=MOST, label="from or to the place with this id"
    )
    why = filters.ChoiceFilter(choices=StockMove.Why.choices, label="why it moved")
    locals().update(days("day"))

    def at_base(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        places = places_of_base(self.request.caller_of_api, value).values("pk")
        return rows.filter(Q(from_place__in=places) | Q(to_place__in=places))

    def aboard(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        return rows.filter(Q(from_place__boat__code=value) | Q(to_place__boat__code=value))

    def at_place(self, rows: QuerySet[Any], name: str, value: Decimal) -> QuerySet[Any]:
        return rows.filter(Q(from_place=int(value)) | Q(to_place=int(value)))


class StockMoves(Ledger, Stores):
    """So much of a spare from one place to another; what lies where is the sum of these."""

    shape, takes, corrects = StockMoveShape, StockMoveBody, StockMoveCorrection
    filterset_class = StockMoveFilter
    needs = {"GET": "see", "POST": "count stock"}

    def mine(self) -> QuerySet[StockMove]:
        places = places_seen(self.caller).order_by().values("pk")
        return StockMove.objects.filter(Q(from_place__in=places) | Q(to_place__in=places))

    def base_of(self, row: StockMove) -> int | None:
        bases = [base_of_place(self.caller, place) for place in (row.from_place, row.to_place) if place]
        return next(filter(None, bases), None)

    def enter(self, given: dict[str, Any]) -> StockMove:
        self.allow_in((given.get("from_place"), given.get("to_place")))
        return move_stock(**given, **self.when)

    def correct(self, row: StockMove, given: dict[str, Any]) -> StockMove:
        self.allow_in((row.from_place, row.to_place))
        when = self.when | {"client_id": given["client_id"]}
        if given["void"]:
            return void_move(row, **when)
        if "quantity" not in given and "day" not in given:
            raise serializers.ValidationError({"quantity": ["wanted, or day, or void"]})
        return correct_move(row, quantity=given.get("quantity"), day=given.get("day"), **when)


class CountBody(LedgerBody):
    """What was counted of a spare at a place: the book then says the same."""

    spare = Ref(spares_known, help_text="its code")
    place = Ref(places_seen, by="pk", help_text="the place's id")
    counted = how_many()
    day = Day()


class CountShape(serializers.Serializer):
    """What the book said and what lay there; the move that makes good the difference."""

    spare = serializers.CharField()
    place = serializers.IntegerField()
    day = serializers.DateField()
    book = serializers.DecimalField(None, 3)
    counted = serializers.DecimalField(10, 3)
    move = serializers.IntegerField(allow_null=True, help_text="null where the book was right")


class DescribedOnce(Described):
    """Says that what is sent again is answered as it was, by 200."""

    def _good(self, view: Any, kind: str) -> dict[Any, Any]:
        return super()._good(view, kind) | {"200": CountShape}


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

        def keep() -> StockMove | None:
            take_turn()
            if (there := _counted(given)) is not None:  # kept by another while this one waited
                return there
            refuse_day(given["day"], given["place"], self.caller.now)
            made.append(True)
            return count_stock(**given, **self.when)

        move = once(lambda: _counted(given), keep)
        return Response(_told(given, move), status=201 if made else 200)


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


def _told(given: dict[str, Any], move: StockMove | None) -> dict[str, Any]:
    told = {"spare": given["spare"].code, "place": given["place"].pk}
    if move is None:
        return told | {
            "day": given["day"],
            "book": given["counted"],
            "counted": given["counted"],
            "move": None,
        }
    book = book_before(move)
    counted = book + (move.quantity if move.to_place_id else -move.quantity)
    return told | {"day": move.day, "book": book, "counted": counted, "move": move.pk}
