"""A base's own words of alarm, and those that are harmless in spite of the list: added and taken off."""

from typing import Any

import django_filters as filters
from django.db.models import QuerySet
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.boat_register import bases_of
from fleet.api.fields import Body, OneOf, Ref
from fleet.api.filters import code
from fleet.api.register_fields import Line
from fleet.api.registers import Register
from fleet.api.shapes import CodeOf, Shape
from maintenance.defects.alarm_words import LANGUAGES
from maintenance.defects.models import AlarmWord
from maintenance.defects.own_words import MOST_LETTERS, add_word, remove_word

RULES = "change the base's rules"


class AlarmWordShape(Shape):
    base = CodeOf("base.code")

    class Meta:
        model = AlarmWord
        fields = ("id", "base", "language", "phrase", "sort")


class AlarmWordBody(Body):
    """A word, or a few, of a base's own; one that ends in * is the beginning of one."""

    base = Ref(bases_of, help_text="the base's code")
    phrase = Line(max_length=MOST_LETTERS)
    sort = OneOf(choices=AlarmWord.Sort.values, default=AlarmWord.Sort.ALARM.value)
    language = OneOf(choices=list(LANGUAGES), required=False, allow_blank=True)


class AlarmWordFilter(filters.FilterSet):
    base = code("base__code", "of this base")
    language = code("language", "in this language")
    sort = filters.ChoiceFilter(choices=AlarmWord.Sort.choices, label="that raise the alarm, or are harmless")


class AlarmWords(Register):
    """The bases' own words, beside the list every base has, that raise the alarm or are harmless. What
    a word raised stays raised when it is taken off."""

    shape, takes, filterset_class = AlarmWordShape, AlarmWordBody, AlarmWordFilter
    needs = {"GET": "see", "POST": RULES, "DELETE": RULES}
    http_method_names = ("get", "post", "delete", "head", "options")

    def rows(self) -> QuerySet[AlarmWord]:
        return AlarmWord.objects.filter(base__in=self.caller.bases).order_by()

    def base_of(self, row: AlarmWord) -> int:
        return row.base_id

    def add(self, given: dict[str, Any]) -> AlarmWord:
        base = given.pop("base")
        self.allow_at(base.pk)
        return add_word(base, **given)

    def destroy(self, request: Request, pk: str) -> Response:
        row = self.one(pk)
        self.allow_at(self.base_of(row))
        remove_word(row)
        return Response(status=204)
