"""What goes out: JSON by orjson, and problems in their own media type."""

from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import orjson
from rest_framework.renderers import BaseRenderer

OPTIONS = orjson.OPT_UTC_Z | orjson.OPT_NAIVE_UTC | orjson.OPT_NON_STR_KEYS


def as_json(data: Any) -> bytes:
    """Days and instants as ISO 8601, instants in UTC; decimals as numbers."""
    return orjson.dumps(data, default=_plain, option=OPTIONS)


def as_money(amount: Decimal | None, places: int = 4) -> str | None:
    """An amount of money as text, for no part of it may get lost on the way; half a last place is rounded
    up, as on the pages. None where none is known."""
    return None if amount is None else str(amount.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP))


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return int(value) if value == value.to_integral_value() else float(value)
    return str(value)


class JSONAnswer(BaseRenderer):
    """The one format of the API; an error's is its problem document."""

    media_type = "application/json"
    format = "json"
    charset = None

    def render(self, data: Any, accepted_media_type: Any = None, renderer_context: Any = None) -> bytes:
        return b"" if data is None else as_json(data)
