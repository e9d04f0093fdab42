"""The checks of each base's round, in the order they are walked."""

from typing import Any

import django_filters as filters
from django.db.models import Q, QuerySet

from fleet.api.boat_register import bases_of
from fleet.api.fields import Body, OneOf, Ref
from fleet.api.filters import code, yes_no
from fleet.api.register_fields import Line, UsualDay, line
from fleet.api.registers import Register
from fleet.api.shapes import CodeOf, Shape
from maintenance.defects.rules import FUNCTIONS
from maintenance.turnaround.models import RoundItem
from maintenance.turnaround.round import add_item, change_item, move_item, start_with_usual

SAID = ("words", "caution", "function", "design", "until_on")


class RoundItemShape(Shape):
    base = CodeOf("base.code")

    class Meta:
        model = RoundItem
        fields = ("id", "base", "number", *SAID, "asks")


class RoundItemChange(Body):
    """How a check is worded, for which boats, and until when it is asked; rounds walked keep their words."""

    words = Line(max_length=200)
    caution = line(300)
    function = OneOf(choices=FUNCTIONS, required=False, allow_blank=True, help_text="what it touches")
    design = line(120, help_text="the design of the boats it is for; blank for all")
    until_on = UsualDay(required=False, allow_null=True, help_text="the last day it is asked")
    move = OneOf(choices=("earlier", "later"), required=False, help_text="by one place in the round")


class RoundItemBody(Body):
    """A check at the end of a base's round; a base that has none yet begins with the usual ones."""

    base = Ref(bases_of, help_text="the base's code")
    words = Line(max_length=200)
    caution = line(300)
    function = OneOf(choices=FUNCTIONS, required=False, allow_blank=True, help_text="what it touches")
    design = line(120, help_text="the design of the boats it is for; blank for all")
    asks = OneOf(choices=RoundItem.Asks.values, required=False, help_text="that it is in order, or a seal")
    until_on = UsualDay(required=False, allow_null=True, help_text="the last day it is asked")


class RoundItemFilter(filters.FilterSet):
    base = code("base__code", "of this base")
    design = code("design", "for boats of this design alone")
    asked = yes_no("asked today", method="by_day")

    def by_day(self, rows: QuerySet[RoundItem], name: str, value: bool) -> QuerySet[RoundItem]:
        caller = self.request.caller_of_api
        ended = Q(pk__in=())
        for base in caller.bases:
            ended |= Q(base=base, until_on__lt=caller.today(base))
        return rows.exclude(ended) if value else rows.filter(ended)


class RoundItems(Register):
    """The checks of every turnaround; one that is no longer asked is given its last day."""

    shape, takes, changes, filterset_class = RoundItemShape, RoundItemBody, RoundItemChange, RoundItemFilter
    needs = {"GET": "see", "POST": "change the base's rules", "PATCH": "change the base's rules"}
    order = ("base_id", "number", "pk")

    def rows(self) -> QuerySet[RoundItem]:
        return RoundItem.objects.filter(base__in=self.caller.bases).order_by()

    def base_of(self, row: RoundItem) -> int:
        return row.base_id

    def add(self, given: dict[str, Any]) -> RoundItem:
        base = given.pop("base")
        self.allow_at(base.pk)
        start_with_usual(base)
        return add_item(base, **given)

    def change(self, row: RoundItem, given: dict[str, Any]) -> None:
        move = given.pop("move", None)
        if given:
            change_item(row, **{name: getattr(row, name) for name in SAID} | given)
        if move is not None:
            move_item(row, earlier=move == "earlier")
