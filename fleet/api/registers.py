"""Tables whose rows can be added and changed; a change names the version it was read at."""

from collections.abc import Sequence
from typing import Any

from django.db import transaction
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.problems import ChangedSince, VersionWanted
from fleet.api.tables import Row, Table, etag
from fleet.bases.turns import take_turn


class Register(Table):
    """A table whose rows can be added and changed: a change names the version it was read at."""

    takes: type[serializers.Serializer]
    changes: type[serializers.Serializer] | None = None  # where a change takes other names than a new row
    may_vanish = False
    http_method_names: Sequence[str] = ("get", "post", "patch", "head", "options")

    def create(self, request: Request) -> Response:
        read = self.body(self.takes, request.data)
        with transaction.atomic():
            row = self.add(read.validated_data)
        told = self.told(row)
        return Response(told, status=201, headers={"ETag": etag(told)})

    def partial_update(self, request: Request, pk: str) -> Response:
        with transaction.atomic():
            take_turn()  # before the row, as every story does: none then waits in a ring
            row = self._held(self.one(pk))
            self.allow_at(self.base_of(row))
            refuse_other_version(request, self.told(row))
            read = self.body(self.changes or self.takes, request.data, instance=row, partial=True)
            kept = self.change(row, read.validated_data) or row
        if self.may_vanish and not self.rows().filter(pk=pk).exists():
            return Response(status=204)
        told = self.told(self.one(kept.pk))
        return Response(told, headers={"ETag": etag(told)})

    def _held(self, row: Any) -> Any:
        """The row again, so that nobody else changes it meanwhile."""
        return type(row)._default_manager.select_for_update().get(pk=row.pk)

    def base_of(self, row: Any) -> int | None:
        """The base a row is of; None where it is of all."""
        return None

    def add(self, given: dict[str, Any]) -> Any:
        shape: Any = self.takes
        return keep(shape.Meta.model(**given))

    def change(self, row: Any, given: dict[str, Any]) -> Any:
        """Keeps a change; gives the row that tells of it where it is another one, from a day on."""
        for name, value in given.items():
            setattr(row, name, value)
        keep(row)


def keep(row: Any) -> Any:
    """Keeps a row, checked; ValidationError names each field that is wrong."""
    row.full_clean()
    row.save()
    return row


def refuse_other_version(request: Request, told: Row) -> None:
    """VersionWanted or ChangedSince where a change names no version, or another than the present one."""
    wanted = request.headers.get("If-Match")
    if not wanted:
        raise VersionWanted
    if wanted.strip() != "*" and etag(told) not in [tag.strip() for tag in wanted.split(",")]:
        raise ChangedSince
