"""Ledgers as addresses: rows are added and corrected, and none is ever changed."""

from collections.abc import Callable, Sequence
from datetime import UTC, datetime
from typing import Any

from django.db.models import QuerySet
from django.http import Http404
from django.utils.dateparse import parse_datetime
from rest_framework import serializers
from rest_framework.decorators import action
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.problems import Conflict
from fleet.api.tables import Table
from fleet.bases.turns import take_turn
from fleet.ledger import latest, once


class LedgerTable(Table):
    """A ledger: lists show what stands, now or as known at an instant; a row by its number is shown
    whether it stands or not."""

    more_names = ("known_at",)

    def mine(self) -> QuerySet[Any]:
        """Every row of the ledger that is of the caller's bases, standing or not."""
        raise NotImplementedError

    def rows(self) -> QuerySet[Any]:
        mine: Any = self.mine()
        standing: QuerySet[Any] = mine.standing(known_at(self.request))
        return standing

    def one(self, pk: str | int) -> Any:
        row = self.mine().filter(pk=pk).first()
        if row is None:
            raise Http404
        return row


class Additions(LedgerTable):
    """A ledger that takes rows and, at its own address, no corrections of them."""

    takes: type[serializers.Serializer]
    http_method_names: Sequence[str] = ("get", "post", "head", "options")

    def create(self, request: Request) -> Response:
        """Adds a row, once for one `client_id`: 201 the first time, 200 with the same row after."""
        given = self.body(self.takes, with_client_id(request)).validated_data
        return self._kept(given, lambda: self.enter(given))

    def _kept(self, given: dict[str, Any], keep: Callable[[], Any]) -> Response:
        client_id = given.get("client_id") or None
        given["client_id"] = client_id
        made: list[Any] = []

        def keep_now() -> Any:
            take_turn()
            if (there := self.known(client_id)) is not None:  # kept by another while this one waited
                return there
            made.append(keep())
            return made[-1]

        row = once(lambda: self.known(client_id), keep_now)
        return Response(self.told(row), status=201 if made else 200)

    def known(self, client_id: str | None) -> Any:
        """The row that was kept under a `client_id`; Conflict where it is not one of the caller's."""
        if client_id is None:
            return None
        row = self.mine().model.objects.filter(client_id=client_id).first()
        if row is not None and not self.mine().filter(pk=row.pk).exists():
            raise Conflict("client_id: wanted a new one, for it is another row's")
        return row

    def enter(self, given: dict[str, Any]) -> Any:
        """Keeps what was sent by one action."""
        raise NotImplementedError

    def base_of(self, row: Any) -> int | None:
        """The base a row is of."""
        raise NotImplementedError

    def last_of(self, row: Any) -> Any:
        """The row that stands for one now, read again."""
        return latest(type(row).objects.get(pk=row.pk))


class Ledger(Additions):
    """A ledger that takes rows and corrections of them, and changes none."""

    corrects: type[serializers.Serializer]

    @action(detail=True, methods=["post"])
    def corrections(self, request: Request, pk: str) -> Response:
        """Adds a row that stands for this one, or takes it back with `void`."""
        row = self.one(pk)
        self.allow_at(self.base_of(row))
        given = self.body(self.corrects, with_client_id(request)).validated_data
        return self._kept(given, lambda: self.correct(still_standing(row), given))

    def correct(self, row: Any, given: dict[str, Any]) -> Any:
        """Keeps what stands for a row by one action."""
        raise NotImplementedError


def still_standing(row: Any) -> Any:
    """The row, if nothing stands for it yet; Conflict names what does."""
    if row.void or (later := getattr(row, "replaced_by", None)) is not None:
        last = row if row.void else latest(later)
        raise Conflict(f"It was corrected already: row {last.pk} stands for it")
    return row


def known_at(request: Request) -> datetime | None:
    """The instant whose knowledge is asked for; None for now."""
    text = request.query_params.get("known_at", "")
    if not text:
        return None
    moment = parse_instant(text)
    if moment is None:
        raise ValidationError({"known_at": ["wanted an instant such as 2026-05-30T09:00:00Z"]})
    return moment


def parse_instant(text: str) -> datetime | None:
    """An instant with its zone; None where it is none."""
    try:
        moment = parse_datetime(text.replace(" ", "+"))
        return moment.astimezone(UTC) if moment is not None and moment.tzinfo is not None else None
    except (ValueError, OverflowError):
        return None


def with_client_id(request: Request) -> Any:
    """The body with the header Idempotency-Key as its `client_id`; refused where the two differ."""
    key = request.headers.get("Idempotency-Key", "").strip().strip('"')
    data = request.data
    if not key or not isinstance(data, dict):
        return data
    if data.get("client_id") not in (None, key):
        raise ValidationError({"client_id": ["wanted the same as the header Idempotency-Key, or only one"]})
    return {**data, "client_id": key}
