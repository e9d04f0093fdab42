"""Returns: a boat back, filed whole in one call; what followed is in the answer."""

from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.charters import charters_of
from fleet.api.fields import (
    Body,
    Day,
    LedgerBody,
    OneOf,
    Ref,
    Several,
    Text,
    YesNo,
    boats_of,
    hours,
    how_many,
)
from fleet.api.filters import BaseCode, code, days
from fleet.api.ledgers import Ledger
from fleet.api.shapes import CodeOf
from fleet.api.tables import Row
from fleet.boats.facts import places_of
from fleet.boats.models import Boat, Place
from fleet.meters.models import Reading
from maintenance.api.readings import meter_named
from maintenance.planning.taking import place_of
from maintenance.spares.actions import SpareUsed
from maintenance.spares.models import Spare
from maintenance.turnaround.actions import DialRead, Report, ReturnRefused, file_return, take_back_return
from maintenance.turnaround.models import Return
from maintenance.turnaround.photos_to_come import photos_of_returns
from maintenance.turnaround.questions import QUESTIONS
from maintenance.turnaround.seeing import returns_seen_at

MOST_WORDS = 20_000


def said(what: str) -> Several:
    """A list of what was told, a text for each thing."""
    return Several(child=Text(max_length=MOST_WORDS), required=False, max_length=200, help_text=what)


def places_seen(caller: Any) -> QuerySet[Place]:
    """The stores of one's bases and the places aboard their boats."""
    return Place.objects.filter(Q(base__in=caller.bases) | Q(boat__in=caller.boats))


class DialBody(Body):
    """What one meter showed."""

    meter = Text(max_length=64, help_text="the meter's name")
    dial = hours(help_text="hours")
    new_meter = YesNo(default=False)
    how_known = OneOf(choices=Reading.HowKnown.values, default=Reading.HowKnown.SEEN)


class UsedBody(Body):
    """So much of a spare; from where the book has it unless a place is given."""

    spare = Ref(lambda caller: Spare.objects.all(), help_text="its code")
    quantity = how_many(least="0.001")
    place = Ref(
        places_seen,
        by="pk",
        required=False,
        allow_null=True,
        help_text="the place's id; where the book has enough unless told, the store before the boat's kit",
    )


class AnswersBody(Body):
    """The questions of every return; what is left out or null was not answered."""


for question in QUESTIONS:
    AnswersBody._declared_fields[question.code] = YesNo(
        required=False, allow_null=True, help_text=question.asks
    )


class ReturnBody(LedgerBody):
    """The whole return. No number is refused: one that cannot be right is kept as doubtful."""

    boat = Ref(boats_of, help_text="her code")
    charter = Ref(charters_of, required=False, allow_null=True, help_text="its code")
    day = Day()
    filed_by = OneOf(choices=Return.FiledBy.values, default=Return.FiledBy.BASE)
    reporter = Text(max_length=120, required=False, allow_blank=True, default="")
    readings = DialBody(many=True, required=False)
    answers = AnswersBody(required=False)
    defects = said("in their own words")
    lost = said("lost or broken")
    used = UsedBody(many=True, required=False)


class VoidBody(LedgerBody):
    """Takes the row back."""

    void = YesNo(help_text="true")

    def validate_void(self, value: bool) -> bool:
        if not value:
            raise serializers.ValidationError("wanted true")
        return value


class ReturnShape(LedgerShape):
    boat = CodeOf("boat.code")
    charter = CodeOf("charter.code", allow_null=True)
    inspected_by = CodeOf("inspected_by.name", allow_null=True)
    answers = serializers.DictField(child=serializers.BooleanField(allow_null=True))
    followed = serializers.DictField(help_text="what came of it: due days moved, readings in doubt, stock")
    papers = serializers.ListField(
        child=serializers.CharField(), help_text="sha256 of each photo the skipper sent with it"
    )
    seen_at = serializers.DateTimeField(
        allow_null=True, help_text="when somebody of the base first saw a skipper's"
    )
    beside = ("papers", "seen_at")

    class Meta:
        model = Return
        fields = (
            *("id", "boat", "charter", "day", "filed_by", "reporter", "answers", "inspected_by"),
            *("followed", "papers", "seen_at", *LEDGER),
        )


class ReturnFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    charter = code("charter__code", "of this charter")
    filed_by = filters.ChoiceFilter(choices=Return.FiledBy.choices, label="by the base or the skipper")
    locals().update(days("day"))


class Returns(Ledger):
    """Boats back: what the base or the skipper said, and what it changed."""

    shape, takes, corrects, filterset_class = ReturnShape, ReturnBody, VoidBody, ReturnFilter
    needs = {"GET": "see", "POST": "record a return"}

    def mine(self) -> QuerySet[Return]:
        return Return.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: Return) -> int:
        return self.caller.boats[row.boat_id]

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        keys = [row["id"] for row in rows]
        papers, seen = photos_of_returns(keys), returns_seen_at(keys)
        for row in rows:
            row.update({"papers": papers[row["id"]], "seen_at": seen.get(row["id"])})

    def enter(self, given: dict[str, Any]) -> Return:
        boat: Boat = given["boat"]
        self.allow_at(self.caller.boats[boat.pk])
        by_base = given["filed_by"] == Return.FiledBy.BASE
        try:
            return file_return(
                boat,
                given.get("charter"),
                self._report(boat, given),
                client_id=given["client_id"],
                inspected_by=self.caller.person if by_base else None,
                **self.when,
            )
        except ReturnRefused as refused:
            if refused.field == "spares":
                raise ReturnRefused("used", refused.wanted) from refused
            raise

    def _report(self, boat: Boat, given: dict[str, Any]) -> Report:
        dials = [
            DialRead(
                meter_named(boat, d["meter"], f"readings[{n}].meter"),
                d["dial"],
                d["new_meter"],
                d["how_known"],
            )
            for n, d in enumerate(given.get("readings", ()))
        ]
        return Report(
            filed_by=given["filed_by"],
            day=given["day"],
            dials=dials,
            defects=given.get("defects", ()),
            lost=given.get("lost", ()),
            used=spares_used(boat, given.get("used", ()), self.caller),
            answers=given.get("answers", {}),
            reporter=given["reporter"],
        )

    def correct(self, row: Return, given: dict[str, Any]) -> Return:
        return take_back_return(row, **self.when)


def spares_used(boat: Boat, used: Sequence[dict[str, Any]], caller: Any) -> list[SpareUsed]:
    """What was used and from where: the place given, or where the book has it."""
    if not used:
        return []
    places = places_of([boat.pk], on=caller.today(caller.boats[boat.pk])).get(boat.pk, [])
    if not places:
        raise serializers.ValidationError({"used": ["wanted a store or locker, and none is known here"]})
    return [
        SpareUsed(u["spare"], u.get("place") or place_of(u["spare"], u["quantity"], places), u["quantity"])
        for u in used
    ]
