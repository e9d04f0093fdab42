"""Text goes squeezed to whoever takes it so; photos, parts of files and streams go as they are."""

import gzip
from collections.abc import Callable
from pathlib import Path, PurePosixPath
from typing import Final

import brotli
from django.conf import settings
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.middleware.gzip import GZipMiddleware
from django.utils.cache import patch_vary_headers

TEXT: Final = {
    "text/html",
    "text/css",
    "text/javascript",
    "application/json",
    "application/manifest+json",
    "application/problem+json",
    "image/svg+xml",
}
TEXT_FILES: Final = {".html", ".css", ".js", ".json", ".svg", ".txt", ".webmanifest"}
# For what is the same for everybody: the tightest first (RFC 7932, RFC 1952).
HOW: Final[dict[str, Callable[[bytes], bytes]]] = {
    "br": lambda text: brotli.compress(text, quality=11),
    "gzip": lambda text: gzip.compress(text, 9, mtime=0),
}

# What a file or script became, by its address and how it was squeezed, with the mark of what it was
# made of: squeezed once, not for every phone.
_squeezed: dict[tuple[str, str], tuple[str, bytes]] = {}


class Squeezing(GZipMiddleware):
    """Django's own, for text alone, and for our files too, which WhiteNoise serves as they lie.

    Guessing a secret by the length of a squeezed page (BREACH, 2013) wants one page that repeats
    what the guesser sends and holds a secret that stays the same. The tokens of our forms are masked
    anew in every answer, Django adds up to 100 random bytes to each, and a link's secret stands on
    pages that only who has it can ask for. What is the same for everybody holds no secret and needs
    no random bytes: files, and scripts put together, which say so by a weak mark.
    """

    def process_request(self, request: HttpRequest) -> None:
        """A browser asks for a squeezed file again by its weak mark; WhiteNoise knows the strong one."""
        if _is_text_file(request) and (known := request.META.get("HTTP_IF_NONE_MATCH")):
            request.META["HTTP_IF_NONE_MATCH"] = known.removeprefix("W/")

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        if _is_text_file(request):
            return _same_for_all(request, response)
        mark = response.get("ETag", "")
        # A strong mark is of the bytes: the API's are sent back in If-Match, which takes no weak one.
        if response.streaming or mark.startswith('"') or _kind(response) not in TEXT:
            return response
        if mark:
            return _same_for_all(request, response)
        squeezed: HttpResponseBase = super().process_response(request, response)
        return squeezed


def _is_text_file(request: HttpRequest) -> bool:
    path = request.path_info
    return path.startswith(f"/{settings.STATIC_URL.strip('/')}/") and PurePosixPath(path).suffix in TEXT_FILES


def _kind(response: HttpResponseBase) -> str:
    return str(response.get("Content-Type", "")).partition(";")[0].strip().lower()


def _taken(request: HttpRequest) -> str:
    """The tightest way the browser takes; blank for none."""
    offered = {}
    for said in request.headers.get("Accept-Encoding", "").lower().split(","):
        name, _, weight = said.partition(";")
        offered[name.strip()] = weight.strip().removeprefix("q=").strip("0.") != "" or not weight.strip()
    return next((name for name in HOW if offered.get(name)), "")


def _same_for_all(request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
    """A whole file or script, or that it did not change; a part of one (206) is of the bytes as they lie."""
    patch_vary_headers(response, ("Accept-Encoding",))
    how = _taken(request)
    if not how or response.status_code not in (200, 304):
        return response
    mark = response.get("ETag", "")
    if mark.startswith('"'):  # RFC 9110, 8.8.1: other bytes under the same mark make it a weak one
        response.headers["ETag"] = f"W/{mark}"
    return _sent_squeezed(request, response, how) if response.status_code == 200 else response


def _sent_squeezed(request: HttpRequest, response: HttpResponseBase, how: str) -> HttpResponseBase:
    response.headers["Content-Encoding"] = how
    response.headers.pop("Content-Length", None)  # a HEAD may leave out what only a GET works out
    text = None if request.method == "HEAD" else _text(response)
    if text is None:
        return response
    mark, made_of = text
    key = request.path_info, how
    if _squeezed.get(key, ("", b""))[0] != mark:
        _squeezed[key] = mark, HOW[how](made_of())
    bytes_ = _squeezed[key][1]
    return HttpResponse(bytes_, headers={**response.headers, "Content-Length": str(len(bytes_))})


def _text(response: HttpResponseBase) -> tuple[str, Callable[[], bytes]] | None:
    """What marks it, and the whole of it; a file's mark is when it was changed."""
    if isinstance(response, HttpResponse):
        return response["ETag"], lambda: response.content
    lies_there = response.file_to_stream if isinstance(response, FileResponse) else None
    if not lies_there:
        return None
    with lies_there:
        file = Path(lies_there.name)
    return str(file.stat().st_mtime_ns), file.read_bytes
