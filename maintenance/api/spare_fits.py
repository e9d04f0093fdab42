"""What each part fits, and which other part may stand in for it."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.fields import Body, Ref
from fleet.api.filters import code
from fleet.api.register_fields import line
from fleet.api.registers import Register
from fleet.api.shapes import CodeOf, Shape
from fleet.boats.models import Kind
from maintenance.api.spares import SETS, spares_known
from maintenance.spares.keeping import drop, keep_fit, keep_instead
from maintenance.spares.models import Instead, SpareFit

NEEDS = SETS | {"DELETE": "change intervals"}


class Dropped(Register):
    # Words that can be taken back; all bases of a copy share them.

    needs = NEEDS
    http_method_names = ("get", "post", "patch", "delete", "head", "options")

    def destroy(self, request: Request, pk: str) -> Response:
        drop(self.one(pk))
        return Response(status=204)


class SpareFitShape(Shape):
    spare = CodeOf("spare.code")
    kind = CodeOf("kind.code", allow_null=True)

    class Meta:
        model = SpareFit
        fields = ("id", "spare", "kind", "maker", "model", "serial_from", "serial_to", "source")


class SpareFitChange(Body):
    """What it fits; what is blank is not asked. A kind, a maker or a model is wanted."""

    kind = Ref(
        lambda caller: Kind.objects.all(), required=False, allow_null=True, help_text="its code; null: any"
    )
    maker = line(80, help_text="as the plate of the thing says")
    model = line(80)
    serial_from = line(80, help_text="the first serial number it fits: text, it keeps its zeros")
    serial_to = line(80, help_text="the last")
    source: Any = line(200, help_text="who says so: the maker's list, the base")  # hides the class's own


class SpareFitBody(SpareFitChange):
    """What a part fits."""

    spare = Ref(spares_known, help_text="its code")


class SpareFitFilter(filters.FilterSet):
    spare = code("spare__code", "of this spare")
    kind = code("kind__code", "of things of this kind")
    maker = filters.CharFilter(max_length=80, label="of things of this maker")
    model = filters.CharFilter(max_length=80, label="of things of this model")


class SpareFits(Dropped):
    """What parts are said to fit, by kind, maker, model and serial number; the maker's list goes before
    these."""

    shape, takes, changes, filterset_class = SpareFitShape, SpareFitBody, SpareFitChange, SpareFitFilter

    def rows(self) -> QuerySet[SpareFit]:
        return SpareFit.objects.order_by()

    def add(self, given: dict[str, Any]) -> SpareFit:
        return keep_fit(SpareFit(**given))

    def change(self, row: SpareFit, given: dict[str, Any]) -> None:
        for name, value in given.items():
            setattr(row, name, value)
        keep_fit(row)


class StandInShape(Shape):
    spare = CodeOf("spare.code")
    other = CodeOf("other.code", help_text="the part that may be used instead, by code")

    class Meta:
        model = Instead
        fields = ("id", "spare", "other", "words")


class StandInChange(Body):
    """What to mind, and who says so."""

    words = line(200, help_text="what to mind, and who says so")


class StandInBody(StandInChange):
    """That another part may be used in place of one."""

    spare = Ref(spares_known, help_text="its code")
    other = Ref(spares_known, help_text="the code of the part that may be used instead")


class StandInFilter(filters.FilterSet):
    spare = code("spare__code", "for this spare")
    other = code("other__code", "where this one may be used")


class StandIns(Dropped):
    """Which part may be used in place of which, as the base says; newer and older numbers stand with the
    spares (superseded_by)."""

    shape, takes, changes, filterset_class = StandInShape, StandInBody, StandInChange, StandInFilter

    def rows(self) -> QuerySet[Instead]:
        return Instead.objects.order_by()

    def add(self, given: dict[str, Any]) -> Instead:
        return keep_instead(given["spare"], given["other"], words=given.get("words", ""))

    def change(self, row: Instead, given: dict[str, Any]) -> None:
        keep_instead(row.spare, row.other, words=given.get("words", row.words))
