"""Lists that are worked out at each call, base by base: no table stands behind them."""

from collections.abc import Callable, Sequence
from typing import Any

from django.db.models import QuerySet
from django_filters import FilterSet
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.serializers import Serializer

from fleet.api.filters import refuse_unknown
from fleet.api.paging import cursor_of, key_of, lines_behind, next_page, page_size
from fleet.api.shapes import chosen, names_of
from fleet.api.tables import Door
from fleet.bases.models import Base

Record = dict[str, Any]
KEYS = 2  # parts of a line's key, where a list does not say otherwise


class WorkedOut(Door):
    """A door to such a list; its `queryset` is an empty one, for the filters to be checked against."""

    shape: type[Serializer[Any]]
    filterset_class: type[FilterSet]
    queryset: QuerySet[Any]
    keys = KEYS
    http_method_names: Sequence[str] = ("get", "head", "options")

    def asked(self, request: Request) -> Record:
        """The filters of the call, checked; ValidationError names each that is wrong or unknown."""
        refuse_unknown(request, self.caller, self.filterset_class.base_filters)
        form = self.filterset_class(request.query_params, self.queryset, request=request).form
        if not form.is_valid():
            raise ValidationError(form.errors)
        asked: Record = form.cleaned_data
        return asked

    def bases(self, code: str | None) -> Sequence[Base]:
        """The caller's bases, or the one asked for, by code."""
        bases = sorted(self.caller.bases.values(), key=lambda base: base.code)
        return [base for base in bases if code in (None, "", base.code)]

    def page(
        self, request: Request, lines: Sequence[Record], key: Callable[[Record], tuple[str, ...]]
    ) -> dict[str, Any]:
        """A page of the lines, with the columns asked for, and where the next begins."""
        names, size = chosen(request, names_of(self.shape)), page_size(request)
        rest = lines_behind(lines, key, key_of(request, self.keys))
        more = cursor_of(key(rest[size - 1])) if len(rest) > size else None
        results = [{name: line[name] for name in names} for line in rest[:size]]
        return {"next": next_page(request, more), "results": results}
