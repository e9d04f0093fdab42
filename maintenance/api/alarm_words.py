"""A base's own words of alarm, and those that are harmless in spite of the list."""

import django_filters as filters
from django.db.models import QuerySet

from fleet.api.filters import code
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Table
from maintenance.defects.models import AlarmWord


class AlarmWordShape(Shape):
    base = CodeOf("base.code")

    class Meta:
        model = AlarmWord
        fields = ("id", "base", "language", "phrase", "sort")


class AlarmWordFilter(filters.FilterSet):
    base = code("base__code", "of this base")
    language = code("language", "in this language")
    sort = filters.ChoiceFilter(choices=AlarmWord.Sort.choices, label="that raise the alarm, or are harmless")


class AlarmWords(Table):
    """The bases' own words, beside the list every base has, that raise the alarm or are harmless."""

    shape, filterset_class = AlarmWordShape, AlarmWordFilter

    def rows(self) -> QuerySet[AlarmWord]:
        return AlarmWord.objects.filter(base__in=self.caller.bases).order_by()

    def base_of(self, row: AlarmWord) -> int:
        return row.base_id
