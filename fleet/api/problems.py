"""Errors as problem documents (RFC 9457) that name each field and say what is wanted."""

from collections.abc import Iterator
from typing import Any

from django.core.exceptions import PermissionDenied
from django.core.exceptions import ValidationError as RowWrong
from django.http import Http404
from rest_framework import exceptions, status
from rest_framework.response import Response
from rest_framework.views import set_rollback

from fleet.ledger import LedgerIsAppendOnly
from fleet.people.roles import MAY
from fleet.refused import Refused, TooLate

MEDIA_TYPE = "application/problem+json"
TITLES = {
    400: "Not understood",
    401: "Not signed in",
    403: "Not yours to do",
    404: "Not found",
    405: "Not done this way",
    406: "No such format",
    409: "Not as things stand now",
    412: "Changed since it was read",
    413: "Too large",
    415: "Not this kind of body",
    422: "Cannot be",
    428: "Say which version is changed",
    429: "Too many at once",
}
Wrong = dict[str, str]


class Conflict(exceptions.APIException):
    """Something that was possible before, and not now."""

    status_code = status.HTTP_409_CONFLICT


class ChangedSince(exceptions.APIException):
    status_code = status.HTTP_412_PRECONDITION_FAILED
    default_detail = "If-Match: it was changed since; read it again"


class VersionWanted(exceptions.APIException):
    status_code = status.HTTP_428_PRECONDITION_REQUIRED
    default_detail = "If-Match: wanted the ETag of what is changed, as it was read"


def answer_problem(error: Exception, context: dict[str, Any]) -> Response | None:
    """The answer to an error of ours or of the framework; None for what is nobody's fault but ours."""
    code, said, wrongs, headers = _told(error)
    if code is None:
        return None
    set_rollback()
    return problem(code, said, wrongs, headers)


def problem(code: int, said: str, wrongs: list[Wrong], headers: dict[str, str] | None = None) -> Response:
    """A problem document; `errors` names each field and what is wanted of it."""
    document = {"type": "about:blank", "title": TITLES.get(code, "Not done"), "status": code, "detail": said}
    answer = Response(document | {"errors": wrongs}, status=code, headers=headers)
    answer.content_type = MEDIA_TYPE
    return answer


def _told(error: Exception) -> tuple[int | None, str, list[Wrong], dict[str, str]]:
    if isinstance(error, Refused):
        code = 409 if isinstance(error, TooLate) else 422
        return code, str(error), [{"field": error.field, "wanted": error.wanted}], {}
    if isinstance(error, LedgerIsAppendOnly):
        return 409, str(error), [], {}
    if isinstance(error, RowWrong):
        wrongs = list(_row_wrongs(error))
        return 422, _in_one_line(wrongs), wrongs, {}
    if isinstance(error, Http404):
        return 404, "Nothing of yours is there", [], {}
    if isinstance(error, PermissionDenied):
        return 403, _not_yours(error), [], {}
    if isinstance(error, exceptions.APIException):
        return _framework(error)
    return None, "", [], {}


def _not_yours(error: PermissionDenied) -> str:
    """Whose it is to do, where the table of roles says so."""
    action = str(error)
    if action not in MAY:
        return "Your roles at this base do not allow it"
    return f"Your roles at this base do not allow it: “{action}” is for {', '.join(sorted(MAY[action]))}"


def _framework(error: exceptions.APIException) -> tuple[int, str, list[Wrong], dict[str, str]]:
    headers = {}
    if (scheme := getattr(error, "auth_header", None)) is not None:
        headers["WWW-Authenticate"] = scheme
    if (wait := getattr(error, "wait", None)) is not None:
        headers["Retry-After"] = str(int(wait) + 1)
    wrongs = list(_wrongs(error.detail)) if isinstance(error, exceptions.ValidationError) else []
    said = _in_one_line(wrongs) if wrongs else str(error.detail)
    if isinstance(error, exceptions.NotFound):
        said = "Nothing of yours is there"
    return error.status_code, said, wrongs, headers


def _in_one_line(wrongs: list[Wrong]) -> str:
    return "; ".join(f"{w['field']}: {w['wanted']}" if w["field"] else w["wanted"] for w in wrongs)


def _wrongs(detail: Any, path: str = "") -> Iterator[Wrong]:
    """Each fault of a body with the place it is at: readings[1].hours."""
    if isinstance(detail, dict):
        for name, inside in detail.items():
            yield from _wrongs(inside, _inside(path, name))
    elif isinstance(detail, list) and any(isinstance(item, dict | list) for item in detail):
        for number, item in enumerate(detail):
            if item:
                yield from _wrongs(item, f"{path}[{number}]")
    elif isinstance(detail, list):
        yield from ({"field": path, "wanted": str(item)} for item in detail)
    else:
        yield {"field": path, "wanted": str(detail)}


def _inside(path: str, name: str | int) -> str:
    """The place of a name inside another, or of one of several."""
    if isinstance(name, int):
        return f"{path}[{name}]"
    return path if name == "non_field_errors" else f"{path}.{name}".strip(".")


def _row_wrongs(error: RowWrong) -> Iterator[Wrong]:
    if not hasattr(error, "error_dict"):
        yield from ({"field": "", "wanted": text} for text in error.messages)
        return
    for name, texts in error.message_dict.items():
        yield from ({"field": "" if name == "__all__" else name, "wanted": text} for text in texts)
