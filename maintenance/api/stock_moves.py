"""Moves of stock: what was received, used, moved, scrapped, sent back."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

import django_filters as filters
from django.core.exceptions import PermissionDenied
from django.db.models import Q, QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.fields import Day, LedgerBody, OneOf, Ref, YesNo, how_many
from fleet.api.filters import MOST, code, days, number
from fleet.api.ledgers import Ledger
from fleet.api.register_fields import line
from fleet.api.shapes import CodeOf
from fleet.api.tables import Door
from fleet.boats.models import Place
from maintenance.api.lots import MarkedBody, lot_given
from maintenance.api.returns import places_seen
from maintenance.api.spares import spares_known
from maintenance.spares.lots import lot_for
from maintenance.spares.models import Lot, StockMove
from maintenance.spares.moving import ENDS, correct_move, move_stock, void_move

ANOTHERS = "client_id: wanted a new one, for it is that of another move of stock"
WORDS = 300
FROM_ANY_LOT = ("used", "moved")  # of what is scrapped or sent back somebody has seen which it is


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
    mark = CodeOf("lot.mark", allow_null=True, help_text="of its lot; null where it has none")
    serial = CodeOf("lot.serial", allow_null=True, help_text="of a single unit")
    expires_on = serializers.DateField(
        source="lot.expires_on", read_only=True, allow_null=True, help_text="the last day it is good"
    )

    class Meta:
        model = StockMove
        fields = (
            *("id", "spare", "from_place", "to_place", "quantity", "why", "day", "words"),
            *("lot", "mark", "serial", "expires_on", *LEDGER),
        )


class StockMoveBody(MarkedBody, LedgerBody):
    """Received needs to_place alone; used, scrapped and sent back from_place alone; moved both. Of what
    has lots, say which; used and moved without it takes the one that runs out first."""

    spare = Ref(spares_known, help_text="its code")
    from_place = Ref(places_seen, by="pk", required=False, allow_null=True, help_text="the place's id")
    to_place = Ref(places_seen, by="pk", required=False, allow_null=True, help_text="the place's id")
    quantity = how_many()
    why = OneOf(choices=tuple(ENDS))
    day = Day()
    words = line(WORDS)


class StockMoveCorrection(LedgerBody):
    """Another quantity or day, other words, or a move that was none."""

    quantity = how_many(required=False)
    day = Day(required=False)
    words = line(WORDS)
    void = YesNo(default=False, help_text="takes the row back")


class StockMoveFilter(filters.FilterSet):
    base = filters.CharFilter(method="at_base", max_length=64, label="in this base's stores, or aboard")
    boat = filters.CharFilter(method="aboard", max_length=64, label="from or to aboard this boat")
    spare = code("spare__code", "of this spare")
    place = filters.NumberFilter(
        method="at_place", min_value=1, max_value=MOST, label="from or to the place with this id"
    )
    lot = number("lot", "of the lot with this id")
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
        return move_stock(**given | {"lot": _lot(given)}, **self.when)

    def correct(self, row: StockMove, given: dict[str, Any]) -> StockMove:
        self.allow_in((row.from_place, row.to_place))
        when = self.when | {"client_id": given["client_id"]}
        if given["void"]:
            return void_move(row, **when)
        said = {name: given[name] for name in ("quantity", "day", "words") if name in given}
        if not said:
            raise serializers.ValidationError({"quantity": ["wanted, or day, or words, or void"]})
        return correct_move(row, **said, **when)


def _lot(given: dict[str, Any]) -> Lot | None:
    """The lot that was named or written on what came, taken out of what was given; where nobody said, the
    one to take."""
    said, why = "lot" in given, given["why"]
    lot = lot_given(given, marks=why == StockMove.Why.RECEIVED)
    if said or why not in FROM_ANY_LOT or given.get("from_place") is None:
        return lot
    return lot_for(given["spare"], given["from_place"], given["quantity"], given["day"])
