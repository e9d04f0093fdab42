"""Tables as addresses: lists in pages, and one row by its number."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from functools import cached_property
from hashlib import sha256
from typing import Any

from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from django.http import Http404
from django.utils import timezone
from django_filters import FilterSet
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.viewsets import GenericViewSet

from fleet.api.answers import as_json
from fleet.api.caller import Caller
from fleet.api.filters import refuse_unknown
from fleet.api.paging import after, cursor_of, next_page, page_size, rows_after
from fleet.api.shapes import Shape, chosen, names_of

Row = dict[str, Any]
Keyed = list[tuple[Row, tuple[Any, ...]]]


class Door(GenericViewSet):
    """What every address of the API knows; `needs` is what one must be allowed to do, by method."""

    needs: Mapping[str, str] = {"GET": "see"}
    lookup_value_regex = "[0-9]{1,18}"

    @cached_property
    def moment(self) -> datetime:
        """When the call came; the clock is read here and nowhere below."""
        return timezone.now()

    @cached_property
    def caller(self) -> Caller:
        person: Any = self.request.user
        call: Any = self.request._request
        caller = Caller.calling(person, self.moment)
        call.caller_of_api = caller  # for the filters, which know the call only
        return caller

    @property
    def when(self) -> dict[str, Any]:
        """The moment and the person every action wants."""
        return {"at": self.caller.now, "by": self.caller.person}

    @property
    def needed(self) -> str | None:
        """The action of the roles' table that this call is; None for what nobody can do here."""
        return self.needs.get("GET" if self.request.method == "HEAD" else str(self.request.method))

    def check_permissions(self, request: Request) -> None:
        """Refused at once to who may do it at none of their bases; which base is seen later."""
        super().check_permissions(request)
        if self.needed is not None and not self.caller.may(self.needed):
            raise PermissionDenied(self.needed)

    def allow_at(self, base: int | None) -> None:
        """Refuses what this call does at a base where their roles do not allow it."""
        if base is not None and self.needed is not None and not self.caller.may(self.needed, base):
            raise PermissionDenied(self.needed)

    def body(
        self, shape: type[serializers.BaseSerializer], data: Any, *, anonymous: bool = False, **more: Any
    ) -> Any:
        """What was sent, checked; ValidationError names each field."""
        caller = None if anonymous else self.caller
        read = shape(data=data, context={"caller": caller, "request": self.request}, **more)
        read.is_valid(raise_exception=True)
        return read


class Table(Door):
    """A table to read: `rows()` are those the caller may see, `shape` what is told of each."""

    shape: type[Shape]
    filterset_class: type[FilterSet] = FilterSet
    order: Sequence[str] = ("pk",)
    more_names: Sequence[str] = ()  # what a list can be asked with that is no filter
    http_method_names: Sequence[str] = ("get", "head", "options")

    def rows(self) -> QuerySet[Any]:
        raise NotImplementedError

    def beside(self, rows: Sequence[Row], names: Sequence[str]) -> None:
        """Adds what stands in other tables to a page of rows, in a fixed number of queries."""

    def get_queryset(self) -> QuerySet[Any]:
        """The caller's rows; none where the API is only described, for then nobody calls."""
        if getattr(self, "swagger_fake_view", False):
            meta: Any = self.shape.Meta
            none: QuerySet[Any] = meta.model._default_manager.none()
            return none
        return self.rows()

    def list(self, request: Request) -> Response:
        refuse_unknown(request, self.caller, [*self.filterset_class.base_filters, *self.more_names])
        rows = self.filter_queryset(self.rows())
        names = chosen(request, names_of(self.shape))
        size = page_size(request)
        page = rows_after(rows, self.order, after(request, self.order, rows))
        found = self.read(page[: size + 1], names)
        more = len(found) > size
        cursor = cursor_of(found[size - 1][1]) if more else None
        results = [row for row, _ in found[:size]]
        self.beside(results, names)
        results = [{name: row[name] for name in names} for row in results]
        return Response({"next": next_page(request, cursor), "results": results})

    def retrieve(self, request: Request, pk: str) -> Response:
        names = chosen(request, names_of(self.shape))
        told = self.told(self.one(pk))
        version = {"ETag": etag(told)}  # of the whole row, whatever is shown of it
        if version["ETag"] in request.headers.get("If-None-Match", ""):
            return Response(status=304, headers=version)
        return Response({name: told[name] for name in names}, headers=version)

    def one(self, pk: str | int) -> Any:
        """One row of the caller's; 404 where it is not theirs or not there."""
        row = self.rows().filter(pk=pk).first()
        if row is None:
            raise Http404
        return row

    def told(self, row: Any) -> Row:
        """What is told of one row, as a list tells it."""
        names = names_of(self.shape)
        found = [read for read, _ in self.read(type(row)._default_manager.filter(pk=row.pk), names)]
        self.beside(found, names)
        return {name: found[0][name] for name in names}

    def read(self, rows: QuerySet[Any], names: Sequence[str]) -> Keyed:
        """Rows as names and values, each with the key it stands at; `id` always among them."""
        columns = {n: path for n, path in self.shape.columns().items() if n in names or n == "id"}
        if self.shape.beside:
            columns = self.shape.columns()
        found = rows.values_list(*columns.values(), *self.order)
        wide = len(columns)
        return [(dict(zip(columns, row, strict=False)), row[wide:]) for row in found]


def etag(told: Row) -> str:
    """The version of what is told."""
    return f'"{sha256(as_json(told)).hexdigest()[:32]}"'
