"""What the hour meters showed, and how fast each base's meters run: to read."""

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.boats import LEDGER, LedgerShape
from fleet.api.filters import BaseCode, code, days
from fleet.api.ledgers import LedgerTable
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Table
from fleet.meters.models import Reading, UseRate


class ReadingShape(LedgerShape):
    boat = CodeOf("meter.boat.code")
    meter = CodeOf("meter.name")

    class Meta:
        model = Reading
        fields = (
            *("id", "boat", "meter", "day", "taken_at", "dial", "new_meter", "noted", "how_known"),
            *("standing", *LEDGER),
        )


class ReadingFilter(filters.FilterSet):
    base = BaseCode("meter__boat")
    boat = code("meter__boat__code", "of this boat")
    meter = code("meter__name", "of the meter with this name")
    standing = filters.ChoiceFilter(choices=Reading.Standing.choices, label="used, doubtful or set aside")
    locals().update(days("day"))


class Readings(LedgerTable):
    """What the hour meters showed, dial by dial."""

    shape, filterset_class = ReadingShape, ReadingFilter

    def mine(self) -> QuerySet[Reading]:
        return Reading.objects.filter(meter__boat__in=self.caller.boats)

    def base_of(self, row: Reading) -> int:
        return self.caller.boats[row.meter.boat_id]


class UseRateShape(Shape):
    base = CodeOf("base.code")

    class Meta:
        model = UseRate
        fields = ("id", "base", "fitted_on", "hours_per_day")


class UseRateFilter(filters.FilterSet):
    base = code("base__code", "of this base")


class UseRates(Table):
    """What your bases' meters run on a charter day, as it was last fitted."""

    shape, filterset_class = UseRateShape, UseRateFilter

    def rows(self) -> QuerySet[UseRate]:
        return UseRate.objects.filter(base__in=self.caller.bases).order_by()
