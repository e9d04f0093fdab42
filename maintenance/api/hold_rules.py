"""The rules that hold boats, as each base finds them: the list, with what the base changed of it."""

from collections.abc import Iterator
from typing import Any

import django_filters as filters
from django.db import transaction
from django.http import Http404
from rest_framework import serializers
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.fields import Body, Whole, YesNo
from fleet.api.filters import refuse_unknown
from fleet.api.paging import NO_CURSOR, cursor_of, key_of, next_page, page_size
from fleet.api.register_fields import about, line
from fleet.api.registers import refuse_other_version
from fleet.api.shapes import chosen, names_of
from fleet.api.tables import Door, Row, etag
from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from maintenance.release.facts import rules_of
from maintenance.release.models import HoldRule
from maintenance.release.rule_list import CODES
from maintenance.release.setting import MOST_NAMES, set_rule

BY_BASE = 100  # a rule has no row until a base changes it: its number is the base's and its place in the list


class HoldRuleShape(serializers.Serializer):
    """One rule of one base."""

    id = serializers.IntegerField()
    base = serializers.CharField()
    code = serializers.ChoiceField(CODES)
    words = serializers.CharField(help_text="what holds her")
    on = serializers.BooleanField()
    names_needed = serializers.IntegerField(help_text="so many names a release wants after it")
    paper_needed = serializers.CharField(allow_blank=True, help_text="which paper a release wants")
    source: Any = serializers.CharField(help_text="whose rule it is")  # hides the class's own


class HoldRuleBody(Body):
    """What a base changes of a rule."""

    on = YesNo(required=False, help_text="the alarm's cannot be switched off")
    names_needed = Whole(min_value=1, max_value=MOST_NAMES, required=False)
    paper_needed = line(120)
    source: Any = line(300, help_text="blank: as the list has it")  # hides the class's own


class HoldRuleFilter(filters.FilterSet):
    base = filters.CharFilter(max_length=64, label="of this base")
    code = filters.ChoiceFilter(choices=[(c, c) for c in CODES], label="this rule")


class HoldRules(Door):
    """What holds your bases' boats: each rule with its source, on or off, and how many names and
    which paper a release then wants."""

    shape, takes, filterset_class = HoldRuleShape, HoldRuleBody, HoldRuleFilter
    needs = {"GET": "see", "PATCH": "change the base's rules"}
    queryset = HoldRule.objects.none()  # a base has rows only of what it changed
    http_method_names = ("get", "patch", "head", "options")

    def list(self, request: Request) -> Response:
        refuse_unknown(request, self.caller, HoldRuleFilter.base_filters)
        form = HoldRuleFilter(request.query_params, self.queryset, request=request).form
        if not form.is_valid():
            raise ValidationError(form.errors)
        asked = form.cleaned_data
        names, size, after = chosen(request, names_of(HoldRuleShape)), page_size(request), _after(request)
        lines = [
            told
            for base in sorted(self.caller.bases.values(), key=lambda base: base.pk)
            for told in _rules(base)
            if asked["base"] in ("", told["base"]) and asked["code"] in ("", told["code"])
        ]
        rest = [told for told in lines if told["id"] > after]
        more = cursor_of([rest[size - 1]["id"]]) if len(rest) > size else None
        results = [{name: told[name] for name in names} for told in rest[:size]]
        return Response({"next": next_page(request, more), "results": results})

    def retrieve(self, request: Request, pk: str) -> Response:
        names = chosen(request, names_of(HoldRuleShape))
        told = self._told(pk)
        version = {"ETag": etag(told)}
        if version["ETag"] in request.headers.get("If-None-Match", ""):
            return Response(status=304, headers=version)
        return Response({name: told[name] for name in names}, headers=version)

    def partial_update(self, request: Request, pk: str) -> Response:
        with transaction.atomic():
            take_turn()
            told = self._told(pk)
            base = self.caller.bases[int(pk) // BY_BASE]
            self.allow_at(base.pk)
            refuse_other_version(request, told)
            said = told | self.body(HoldRuleBody, request.data, partial=True).validated_data
            with about(names="names_needed", paper="paper_needed"):
                set_rule(
                    base,
                    told["code"],
                    on=said["on"],
                    names=said["names_needed"],
                    paper=said["paper_needed"],
                    source=said["source"],
                )
        told = self._told(pk)
        return Response(told, headers={"ETag": etag(told)})

    def _told(self, pk: str) -> Row:
        """One rule by its number; 404 where it is not of the caller's bases."""
        base = self.caller.bases.get(int(pk) // BY_BASE)
        for told in _rules(base) if base is not None else ():
            if told["id"] == int(pk):
                return told
        raise Http404


def _rules(base: Base) -> Iterator[Row]:
    held_by = rules_of(base)
    for place, code in enumerate(CODES, start=1):
        rule = held_by[code]
        yield {
            "id": base.pk * BY_BASE + place,
            "base": base.code,
            "code": code,
            "words": rule.words,
            "on": rule.on,
            "names_needed": rule.names,
            "paper_needed": rule.paper,
            "source": rule.source,
        }


def _after(request: Request) -> int:
    """The number a cursor of a call names; 0 for the first page."""
    key: Any = key_of(request, 1)
    if key is None:
        return 0
    if not (key[0].isascii() and key[0].isdigit() and len(key[0]) < 20):
        raise NO_CURSOR
    return int(key[0])
