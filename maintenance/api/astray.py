"""Parts that are not where they should be: missed, found, or given up."""

from typing import Any

import django_filters as filters
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.boat_register import bases_of
from fleet.api.fields import LedgerBody, OneOf, Ref, how_many
from fleet.api.ledgers import with_client_id
from fleet.api.problems import Conflict
from fleet.api.register_fields import UsualDay, about, line
from fleet.api.schema import KEY, DescribedOnce
from fleet.api.worked_out import Record, WorkedOut
from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.ledger import once
from maintenance.api.lots import lots_seen
from maintenance.api.returns import places_seen
from maintenance.api.spares import spares_known
from maintenance.api.stock_moves import ANOTHERS, WORDS, StockMoves, StockMoveShape, Stores, base_of_place
from maintenance.spares.astray import LookedFor, find, give_up, looked_for, miss
from maintenance.spares.models import Spare, StockMove

MISSED, FOUND, GIVEN_UP = STEPS = ("missed", "found", "given up")


class AstrayShape(serializers.Serializer):
    """So much of a part that is looked for, and the move that said so."""

    base = serializers.CharField()
    spare = serializers.CharField()
    name = serializers.CharField()
    unit = serializers.CharField(allow_blank=True)
    quantity = serializers.DecimalField(None, 3)
    lot = serializers.IntegerField(allow_null=True, help_text="its id")
    place = serializers.IntegerField(allow_null=True, help_text="id of the place it should be at")
    place_name = serializers.CharField(allow_blank=True)
    day = serializers.DateField(help_text="on which it was missed")
    words = serializers.CharField(allow_blank=True)
    move = serializers.IntegerField(help_text="the stock move's id")


class AstrayBody(LedgerBody):
    """Missed: so much is not at its place, and is looked for from now on. Found: so much of it lies at a
    place. Given up: so much is gone for good, and why; the base is told in place of the place."""

    step = OneOf(choices=STEPS)
    spare = Ref(spares_known, help_text="its code")
    place = Ref(places_seen, by="pk", required=False, help_text="missed, found: the place's id")
    base = Ref(bases_of, required=False, help_text="given up: the base's code")
    quantity = how_many("0.001")
    lot = Ref(lots_seen, by="pk", required=False, allow_null=True, help_text="its id")
    day = UsualDay(required=False, help_text="today unless told")
    words = line(WORDS)

    def validate(self, given: dict[str, Any]) -> dict[str, Any]:
        wanted, other = ("base", "place") if given["step"] == GIVEN_UP else ("place", "base")
        wrong = {}
        if wanted not in given:
            wrong[wanted] = [f"wanted where the step is “{given['step']}”"]
        if other in given:
            wrong[other] = [f"wanted nothing where the step is “{given['step']}”"]
        if wrong:
            raise serializers.ValidationError(wrong)
        return given


class AstrayFilter(filters.FilterSet):
    base = filters.CharFilter(max_length=64, label="of this base")
    spare = filters.CharFilter(max_length=64, label="of this spare")


class Astray(WorkedOut, Stores):
    """What is not where it should be, the longest missed first. Nothing is written off by being missed."""

    shape, takes, filterset_class = AstrayShape, AstrayBody, AstrayFilter
    schema = DescribedOnce()
    gives, asks = {"create": StockMoveShape}, {"create": (KEY,)}
    queryset = Spare.objects.none()
    needs = {"GET": "see", "POST": "count stock"}
    http_method_names = ("get", "post", "head", "options")

    def list(self, request: Request) -> Response:
        asked = self.asked(request)
        lines = [_told(one, base) for base in self.bases(asked.get("base")) for one in looked_for(base)]
        wanted = [line for line in lines if asked.get("spare") in (None, "", line["spare"])]
        return Response(self.page(request, wanted, lambda line: (line["base"], str(line["move"]))))

    def create(self, request: Request) -> Response:
        """Says that so much is missed, found or given up, once for one `client_id`."""
        given = self.body(AstrayBody, with_client_id(request)).validated_data
        base = self._base(given)
        client_id = given["client_id"] = given.get("client_id") or None
        made: list[StockMove] = []

        def keep() -> StockMove:
            take_turn()
            if (there := self._known(client_id)) is None:
                made.append(there := self._say(given, base))
            return there

        with about("place", to_place="place", from_place="place"):
            move = once(lambda: self._known(client_id), keep)
        return Response(self._move(move), status=201 if made else 200)

    def _base(self, given: dict[str, Any]) -> Base:
        """Whose book it is in; refused where they may not count there."""
        place = given.get("place")
        key = given["base"].pk if place is None else base_of_place(self.caller, place)
        self.allow_at(key)
        return self.caller.bases[key or 0]

    def _say(self, given: dict[str, Any], base: Base) -> StockMove:
        step, spare, place = given.pop("step"), given.pop("spare"), given.pop("place", None)
        given.pop("base", None)
        said: dict[str, Any] = {"words": "", "day": self.caller.today(base.pk)} | given | self.when
        if step == MISSED:
            return miss(spare, place, **said)
        if step == FOUND:
            return find(spare, place, base=base, **said)
        return give_up(spare, base=base, **said)

    def _known(self, client_id: str | None) -> StockMove | None:
        """The move kept under a `client_id`; Conflict where it is none of theirs."""
        move = StockMove.objects.filter(client_id=client_id).first() if client_id else None
        if move is not None and not self._moves().mine().filter(pk=move.pk).exists():
            raise Conflict(ANOTHERS)
        return move

    def _moves(self) -> StockMoves:
        """The ledger these are kept in, for the same caller."""
        return StockMoves(request=self.request, caller=self.caller)

    def _move(self, move: StockMove) -> Record:
        return self._moves().told(move)


def _told(one: LookedFor, base: Base) -> Record:
    move = one.said
    return {
        "base": base.code,
        "spare": move.spare.code,
        "name": move.spare.name,
        "unit": move.spare.unit,
        "quantity": one.quantity,
        "lot": move.lot_id,
        "place": move.from_place_id,
        "place_name": str(move.from_place or ""),
        "day": move.day,
        "words": move.words,
        "move": move.pk,
    }
