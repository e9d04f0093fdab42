"""A list in pages: each page names the next by a cursor, which holds where the last row stood."""

import binascii
from base64 import urlsafe_b64decode, urlsafe_b64encode
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

import orjson
from django.core.exceptions import ValidationError as Unfit
from django.db.models import Q, QuerySet
from rest_framework.exceptions import ValidationError
from rest_framework.request import Request

SIZE, MOST = 50, 5_000
Key = tuple[Any, ...]
Line = TypeVar("Line")
NO_CURSOR = ValidationError({"cursor": ["wanted the one that `next` of the page before gives"]})


def page_size(request: Request) -> int:
    """How many rows a page holds; 50 unless told."""
    text = request.query_params.get("page_size", "")
    if not text:
        return SIZE
    if not (text.isascii() and text.isdigit()) or not 1 <= int(text[:6]) <= MOST:
        raise ValidationError({"page_size": [f"wanted a whole number from 1 to {MOST}"]})
    return int(text)


def cursor_of(key: Sequence[Any]) -> str:
    """Where a row stands, as text for an address."""
    return urlsafe_b64encode(orjson.dumps([str(part) for part in key])).decode().rstrip("=")


def key_of(request: Request, length: int) -> list[str] | None:
    """What the cursor of a call says; None for the first page."""
    text = request.query_params.get("cursor", "")
    if not text:
        return None
    try:
        parts = orjson.loads(urlsafe_b64decode(text.encode("ascii") + b"=" * (-len(text) % 4)))
    except (ValueError, binascii.Error) as wrong:
        raise NO_CURSOR from wrong
    if not isinstance(parts, list) or len(parts) != length or not all(isinstance(p, str) for p in parts):
        raise NO_CURSOR
    return parts


def after(request: Request, order: Sequence[str], rows: QuerySet[Any]) -> Key | None:
    """What the cursor of a call says, as the columns' own values; None for the first page."""
    parts = key_of(request, len(order))
    if parts is None:
        return None
    try:
        return tuple(_column(rows, name).clean(part, None) for name, part in zip(order, parts, strict=True))
    except (ValueError, TypeError, Unfit) as wrong:
        raise NO_CURSOR from wrong


def _column(rows: QuerySet[Any], name: str) -> Any:
    """The column a part of a key is of; a foreign key is told by its number."""
    column = rows.model._meta.pk if name == "pk" else rows.model._meta.get_field(name)
    return column.target_field if column.is_relation else column


def rows_after(rows: QuerySet[Any], order: Sequence[str], key: Key | None) -> QuerySet[Any]:
    """The rows behind a key, in order."""
    return (rows if key is None else rows.filter(_behind(order, key))).order_by(*order)


def lines_behind(
    lines: Sequence[Line], of: Callable[[Line], Sequence[Any]], key: Sequence[str] | None
) -> Sequence[Line]:
    """Of lines that were worked out, those after the one a cursor names; all of them without one, and
    ValidationError where it names none."""
    if key is None:
        return lines
    for n, line in enumerate(lines):
        if list(of(line)) == list(key):
            return lines[n + 1 :]
    raise NO_CURSOR


def _behind(order: Sequence[str], key: Key) -> Q:
    """a > A, or a = A and b > B, and so on; the first part also alone, so that its index serves."""
    behind = Q()
    for n in range(len(order)):
        same = Q(**{order[m]: key[m] for m in range(n)})
        behind |= same & Q(**{f"{order[n]}__gt": key[n]})
    return Q(**{f"{order[0]}__gte": key[0]}) & behind


def next_page(request: Request, cursor: str | None) -> str | None:
    """The address of the page behind a cursor."""
    if cursor is None:
        return None
    query = request.query_params.copy()
    query["cursor"] = cursor
    return request.build_absolute_uri(f"?{query.urlencode()}")
