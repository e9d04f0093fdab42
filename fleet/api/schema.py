"""How an address is described: what it takes and gives, and every problem it can answer with."""

from typing import Any

from drf_spectacular.extensions import OpenApiSerializerFieldExtension
from drf_spectacular.openapi import AutoSchema
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, OpenApiResponse, inline_serializer
from rest_framework import serializers

from fleet.api.fields import CLOCK, CODE_LENGTH
from fleet.api.ledgers import Additions, LedgerTable
from fleet.api.problems import MEDIA_TYPE, TITLES
from fleet.api.tables import Door
from fleet.papers.serving import SHOWN

STRING = {"type": "string"}


class WrongShape(serializers.Serializer):
    """One fault: the field it is at, and what is wanted of it."""

    field = serializers.CharField(allow_blank=True)
    wanted = serializers.CharField()


class ProblemShape(serializers.Serializer):
    """A problem document, RFC 9457."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField()
    errors = WrongShape(many=True)  # type: ignore[assignment]


def query(name: str, said: str, schema: Any = None) -> OpenApiParameter:
    return OpenApiParameter(name, schema or str, OpenApiParameter.QUERY, description=said)


CURSOR = query("cursor", "where the page begins, as `next` of the page before gives it")
SIZE = query(
    "page_size", "rows of a page, 50 unless told", {"type": "integer", "minimum": 1, "maximum": 5000}
)
FIELDS = query("fields", "names of the answer parted by commas; all unless told")
KNOWN_AT = query(
    "known_at", "the ledger as it was known at an instant", {"type": "string", "format": "date-time"}
)
IF_MATCH = OpenApiParameter(
    "If-Match", str, OpenApiParameter.HEADER, description="the ETag of the row as it was read", required=False
)
IF_NONE_MATCH = OpenApiParameter(
    "If-None-Match", str, OpenApiParameter.HEADER, description="an ETag known already"
)
KEY = OpenApiParameter(
    "Idempotency-Key", str, OpenApiParameter.HEADER, description="another spelling of client_id"
)


class RefScheme(OpenApiSerializerFieldExtension):
    """A thing is told by its code, or by its number where it has none."""

    target_class = "fleet.api.fields.Ref"

    def map_serializer_field(self, auto_schema: Any, direction: str) -> dict[str, Any]:
        if self.target.by == "pk":
            return {"type": "integer", "minimum": 1}
        return {"type": "string", "minLength": 1, "maxLength": CODE_LENGTH}


class ClockScheme(OpenApiSerializerFieldExtension):
    """Times are by a base's clock and have no zone, which the format `time` would want."""

    target_class = "rest_framework.fields.TimeField"
    match_subclasses = True

    def map_serializer_field(self, auto_schema: Any, direction: str) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{CLOCK}$"}


class Described(AutoSchema):
    """Reads the rest of an address's description off its view."""

    view: Any

    def get_override_parameters(self) -> list[Any]:
        view, kind = self.view, self._kind()
        more: list[Any] = list(getattr(view, "asks", {}).get(kind, ()))
        if isinstance(view, Door) and kind in ("list", "retrieve"):
            more.append(FIELDS)
        if kind == "list":
            more += [CURSOR, SIZE]
            if isinstance(view, LedgerTable):
                more.append(KNOWN_AT)
        elif kind == "retrieve":
            more.append(IF_NONE_MATCH)
        elif kind == "partial_update":
            more.append(IF_MATCH)
        elif kind in ("create", "corrections") and isinstance(view, Additions):
            more.append(KEY)
        return more

    def _kind(self) -> str:
        return str(getattr(self.view, "action", None) or self.method.lower())

    def get_tags(self) -> list[str]:
        parts = self.path.strip("/").split("/")
        return [parts[1] if len(parts) > 1 else "api"]

    def get_operation_id(self) -> str:
        return f"{self.get_tags()[0]}_{self._kind()}".replace("-", "_")

    def get_filter_backends(self) -> list[Any]:
        return list(self.view.filter_backends) if self._kind() == "list" else []

    def _is_list_view(self, serializer: Any = None) -> bool:
        """A list is an object too: its rows stand under `results`."""
        return False

    def get_serializer_name(self, serializer: Any, direction: Any) -> str:
        name = str(super().get_serializer_name(serializer, direction))
        return name.removesuffix("Shape")

    def _get_paginator(self) -> None:
        return None

    def get_request_serializer(self) -> Any:
        view, kind = self.view, self._kind()
        if kind == "partial_update":
            return getattr(view, "changes", None) or view.takes
        if kind == "create":
            return getattr(view, "takes", None)
        return view.corrects if kind == "corrections" else None

    def get_response_serializers(self) -> Any:
        view, kind = self.view, self._kind()
        answers: dict[Any, Any] = self._good(view, kind)
        for code in self._problems(view, kind):
            said = OpenApiResponse(ProblemShape, description=TITLES[code])
            answers[(str(code), MEDIA_TYPE)] = said
        return answers

    def _good(self, view: Any, kind: str) -> dict[Any, Any]:
        gives = getattr(view, "gives", {}).get(kind)
        shape = gives or getattr(view, "shape", None)
        if kind == "list":
            return {"200": getattr(view, "gives", {}).get("page") or _page_of(shape)}
        if kind == "retrieve":
            return {"200": shape, "304": OpenApiResponse(description="Not changed")}
        if kind == "file":
            return {("200", mime): OpenApiTypes.BINARY for mime in SHOWN}
        if kind == "destroy":
            return {"204": OpenApiResponse(description="Ended")}
        if kind in ("create", "corrections"):
            again = {"200": OpenApiResponse(shape, description="Kept already, under this client_id")}
            return {"201": shape} | (again if isinstance(view, Additions) else {})
        gone = {"204": OpenApiResponse(description="Ended before it began: it is gone")}
        return {"200": shape} | (gone if getattr(view, "may_vanish", False) else {})

    def _problems(self, view: Any, kind: str) -> list[int]:
        codes = {400, 401, 403, 404, 406}
        if kind in ("create", "corrections", "partial_update"):
            codes |= {409, 413, 415, 422}
        if kind == "partial_update":
            codes |= {412, 428}
        if not isinstance(view, Door):
            codes = {400, 406}
        return sorted(codes | set(getattr(view, "more_problems", {}).get(kind, ())))


class DescribedOnce(Described):
    """Of what is no ledger: what is sent again is answered as it was, by 200."""

    def _good(self, view: Any, kind: str) -> dict[Any, Any]:
        good = super()._good(view, kind)
        if kind != "create":
            return good
        shape = getattr(view, "gives", {}).get(kind) or view.shape
        return {
            "201": shape,
            "200": OpenApiResponse(shape, description="Kept already, under this client_id"),
        }


_PAGES: dict[type, Any] = {}


def _page_of(shape: Any) -> Any:
    """The schema of a page of rows; one for each shape."""
    if shape not in _PAGES:
        name = shape.__name__.removesuffix("Shape") + "Page"
        fields = {
            "next": serializers.URLField(allow_null=True, help_text="the page behind this one"),
            "results": shape(many=True),
        }
        _PAGES[shape] = inline_serializer(name, fields)
    return _PAGES[shape]
