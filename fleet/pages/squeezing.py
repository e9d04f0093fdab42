"""Text goes squeezed to whoever takes it so; photos, parts of files and streams go as they are."""

import gzip
from pathlib import Path, PurePosixPath

from django.conf import settings
from django.http import FileResponse, HttpRequest, HttpResponse, HttpResponseBase
from django.middleware.gzip import GZipMiddleware, re_accepts_gzip
from django.utils.cache import patch_vary_headers

TEXT = {
    "text/html",
    "text/css",
    "text/javascript",
    "application/json",
    "application/manifest+json",
    "application/problem+json",
    "image/svg+xml",
}
TEXT_FILES = {".html", ".css", ".js", ".json", ".svg", ".txt", ".webmanifest"}

# What a file becomes, by where it lies and when it was changed: squeezed once, not for every phone.
_squeezed: dict[str, tuple[int, bytes]] = {}


class Squeezing(GZipMiddleware):
    """Django's own, for text alone, and for our files too, which WhiteNoise serves as they lie.

    Guessing a secret by the length of a squeezed page (BREACH, 2013) wants one page that repeats
    what the guesser sends and holds a secret that stays the same. The tokens of our forms are masked
    anew in every answer, Django adds up to 100 random bytes to each, and a link's secret stands on
    pages that only who has it can ask for. Files hold no secret and need no random bytes.
    """

    def process_request(self, request: HttpRequest) -> None:
        """A browser asks for a squeezed file again by its weak mark; WhiteNoise knows the strong one."""
        if _is_text_file(request) and (known := request.META.get("HTTP_IF_NONE_MATCH")):
            request.META["HTTP_IF_NONE_MATCH"] = known.removeprefix("W/")

    def process_response(self, request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
        if _is_text_file(request):
            return _file(request, response)
        # A strong mark is of the bytes: the API's are sent back in If-Match, which takes no weak one.
        is_marked = response.get("ETag", "").startswith('"')
        if response.streaming or is_marked or _kind(response) not in TEXT:
            return response
        squeezed: HttpResponseBase = super().process_response(request, response)
        return squeezed


def _is_text_file(request: HttpRequest) -> bool:
    path = request.path_info
    return path.startswith(f"/{settings.STATIC_URL.strip('/')}/") and PurePosixPath(path).suffix in TEXT_FILES


def _kind(response: HttpResponseBase) -> str:
    return str(response.get("Content-Type", "")).partition(";")[0].strip().lower()


def _file(request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
    """A whole file, or that it did not change; a part of one (206) is of the bytes as they lie."""
    patch_vary_headers(response, ("Accept-Encoding",))
    takes = re_accepts_gzip.search(request.headers.get("Accept-Encoding", ""))
    if not takes or response.status_code not in (200, 304):
        return response
    mark = response.get("ETag", "")
    if mark.startswith('"'):  # RFC 9110, 8.8.1: other bytes under the same mark make it a weak one
        response.headers["ETag"] = f"W/{mark}"
    return _sent_squeezed(request, response) if response.status_code == 200 else response


def _sent_squeezed(request: HttpRequest, response: HttpResponseBase) -> HttpResponseBase:
    response.headers["Content-Encoding"] = "gzip"
    response.headers.pop("Content-Length", None)  # a HEAD may leave out what only a GET works out
    lies_there = response.file_to_stream if isinstance(response, FileResponse) else None
    if request.method == "HEAD" or not lies_there:
        return response
    with lies_there:
        squeezed = _bytes(Path(lies_there.name))
    return HttpResponse(squeezed, headers={**response.headers, "Content-Length": str(len(squeezed))})


def _bytes(file: Path) -> bytes:
    changed = file.stat().st_mtime_ns
    known = _squeezed.get(str(file))
    if known is None or known[0] != changed:
        known = changed, gzip.compress(file.read_bytes(), 9, mtime=0)
        _squeezed[str(file)] = known
    return known[1]
