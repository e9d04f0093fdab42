"""The hull's register: every time she touched, and every look at her hull."""

from collections import defaultdict
from collections.abc import Sequence
from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework import serializers

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.caller import Caller
from fleet.api.charters import charters_of
from fleet.api.fields import LedgerBody, OneOf, Ref, Text, YesNo, boats_of
from fleet.api.filters import BaseCode, code, days, number, yes_no
from fleet.api.ledgers import Additions
from fleet.api.register_fields import UsualDay, line
from fleet.api.shapes import CodeOf
from fleet.api.tables import Row
from maintenance.api.defects import defects_of
from maintenance.api.papers_at import digests, papers_at, some_papers
from maintenance.defects.hull import HullLook, HullLookPaper, Touch
from maintenance.defects.looking import LookRefused, record_look, record_touch
from maintenance.defects.rules import BOTTOMS, FORCES, METHODS, TOUCHED, Look, settled, wants_ashore


def touches_of(caller: Caller) -> QuerySet[Touch]:
    """Touches of the boats of one's bases."""
    return Touch.objects.filter(boat__in=caller.boats)


class TouchShape(LedgerShape):
    boat = CodeOf("boat.code")
    charter = CodeOf("charter.code", allow_null=True)
    wants_ashore = serializers.BooleanField(help_text="whether only a look out of the water settles it")
    settled = serializers.BooleanField(help_text="whether it was looked at so that she may go")
    beside = ("wants_ashore", "settled")

    class Meta:
        model = Touch
        fields = (
            *("id", "boat", "charter", "defect", "day", "touched", "bottom", "force", "words"),
            *("reporter", "wants_ashore", "settled", *LEDGER),
        )


class TouchBody(LedgerBody):
    """That she touched the bottom or hit something, as far as it was told."""

    boat = Ref(boats_of, help_text="her code")
    day = UsualDay()
    touched = OneOf(choices=TOUCHED, required=False)
    bottom = OneOf(choices=BOTTOMS, required=False, help_text="on what")
    force = OneOf(choices=FORCES, required=False, help_text="how hard")
    words = line(500)
    reporter = line(120)
    charter = Ref(charters_of, required=False, allow_null=True, help_text="its code")
    defect = Ref(defects_of, by="pk", required=False, allow_null=True, help_text="id of what was reported")


class TouchFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    charter = code("charter__code", "of this charter")
    locals().update(days("day"))


class Touches(Additions):
    """Every time one of your boats touched the bottom or hit something: it stays for life, and holds
    her until somebody has looked."""

    shape, takes, filterset_class = TouchShape, TouchBody, TouchFilter
    # no corrections: it stays for life
    needs = {"GET": "see", "POST": "report a defect"}

    def mine(self) -> QuerySet[Touch]:
        return touches_of(self.caller)

    def base_of(self, row: Touch) -> int:
        return self.caller.boats[row.boat_id]

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        looks: dict[int | None, list[Look]] = defaultdict(list)
        found = HullLook.objects.standing().filter(touch__in=[row["id"] for row in rows])
        for touch, *look in found.order_by("day", "pk").values_list(
            "touch_id", "day", "method", "sound", "touched"
        ):
            looks[touch].append(Look(*look))
        for row in rows:
            how = (row["touched"], row["force"])
            row["wants_ashore"] = wants_ashore(*how, looks[row["id"]])
            row["settled"] = settled(row["day"], *how, looks[row["id"]])

    def enter(self, given: dict[str, Any]) -> Touch:
        boat, defect = given.pop("boat"), given.get("defect")
        self.allow_at(self.caller.boats[boat.pk])
        if defect is not None and defect.boat_id != boat.pk:
            raise LookRefused(f"defect: wanted one of {boat.name}")
        return record_touch(boat, **given, **self.when)


class HullLookShape(LedgerShape):
    boat = CodeOf("boat.code")
    charter = CodeOf("charter.code", allow_null=True)
    papers = serializers.ListField(child=serializers.CharField(), help_text="sha256 of each")
    beside = ("papers",)

    class Meta:
        model = HullLook
        fields = (
            *("id", "boat", "charter", "touch", "day", "who", "method", "touched", "seen", "sound", "papers"),
            *LEDGER,
        )


class HullLookBody(LedgerBody):
    """A look at her hull by a named person; of a touch, where it was for one."""

    boat = Ref(boats_of, help_text="her code")
    day = UsualDay()
    who = Text(max_length=120, required=False, help_text="who looked; you unless told")
    method = OneOf(choices=METHODS)
    touched = OneOf(choices=TOUCHED, required=False, help_text="what took the touch, as it looks")
    seen = Text(max_length=1000)
    sound = YesNo(help_text="whether nothing was found that keeps her ashore")
    touch = Ref(touches_of, by="pk", required=False, allow_null=True, help_text="id of the touch it is for")
    charter = Ref(charters_of, required=False, allow_null=True, help_text="its code")
    papers = some_papers()


class HullLookFilter(filters.FilterSet):
    base = BaseCode()
    boat = code("boat__code", "of this boat")
    touch = number("touch", "of the touch with this id")
    method = filters.ChoiceFilter(choices=[(m, m) for m in METHODS], label="by this method")
    sound = yes_no("whether nothing was found that keeps her ashore")
    locals().update(days("day"))


class HullLooks(Additions):
    """Looks at your boats' hulls: a diver's, a camera's, ashore."""

    shape, takes, filterset_class = HullLookShape, HullLookBody, HullLookFilter
    # no corrections: a later look says otherwise
    needs = {"GET": "see", "POST": "look at a hull"}

    def mine(self) -> QuerySet[HullLook]:
        return HullLook.objects.filter(boat__in=self.caller.boats)

    def base_of(self, row: HullLook) -> int:
        return self.caller.boats[row.boat_id]

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        papers = digests(HullLookPaper, "look", [row["id"] for row in rows])
        for row in rows:
            row["papers"] = papers[row["id"]]

    def enter(self, given: dict[str, Any]) -> HullLook:
        boat = given.pop("boat")
        base = self.caller.boats[boat.pk]
        self.allow_at(base)
        papers = papers_at(base, given.pop("papers", ()))
        given["who"] = given.get("who") or self.caller.person.name
        return record_look(boat, papers=papers, **given, **self.when)
