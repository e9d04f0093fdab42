"""The phone's scripts, put end to end: two answers, where seven would each wait for the wire."""

import re
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Final

from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from fleet.pages.by_content import found, integrity

# `kept` keeps and sends, in a page and in the worker; `page` is what a person sees of it.
SCRIPTS: Final[dict[str, tuple[str, ...]]] = {
    "kept": (
        "vendor/idb-8.0.4/umd.js",
        "maintenance/phone/keep.js",
        "maintenance/phone/send.js",
    ),
    "page": tuple(f"maintenance/phone/{name}.js" for name in ("copies", "shown", "photo", "check", "form")),
}
# A line that begins as a comment, to its end: ours begin on lines of their own and are for who reads
# the source, not for a phone on a thin line. What others wrote goes as it is, licence and all.
COMMENT: Final = re.compile(rb"(?m)^[ \t]*(?://[^\n]*|/\*(?:[^*]|\*(?!/))*\*/)[ \t]*\n")
OTHERS: Final = "vendor"
FOR_A_YEAR: Final = "public, max-age=31536000, immutable"


@require_safe
def script(request: HttpRequest, name: str) -> HttpResponse:
    """One of the two. Under the address a page names it by, it never changes."""
    text = text_of(name)
    version = _version(text)
    headers = {
        "Cache-Control": FOR_A_YEAR if request.GET.get("v") == version else "no-cache",
        "ETag": f'W/"{version}"',  # a weak mark: squeezed or not, it is the same
    }
    answer = HttpResponse(text, content_type="text/javascript; charset=utf-8", headers=headers)
    return get_conditional_response(request, etag=headers["ETag"], response=answer) or answer


def address_of(name: str) -> str:
    """Where a page finds it, with the first letters of its hash."""
    return f"{reverse(f'phone-{name}')}?v={_version(text_of(name))}"


def integrity_of(name: str) -> str:
    """Its hash as a browser checks it."""
    return integrity(sha256(text_of(name)).digest())


def text_of(name: str) -> bytes:
    """All of it, strict from the first line; put together again only where a file changed."""
    files = tuple(file_of(one) for one in SCRIPTS[name])
    return _together(files, tuple(file.stat().st_mtime_ns for file in files))


def file_of(name: str) -> Path:
    """Where a file of ours lies; FileNotFoundError where somebody took it away."""
    file = found(name)
    if file is None:
        raise FileNotFoundError(name)
    return file


@cache
def _together(files: tuple[Path, ...], changed: tuple[int, ...]) -> bytes:
    return b"'use strict';\n" + b"\n;\n".join(as_sent(file) for file in files)


def as_sent(file: Path) -> bytes:
    """A script as it goes over the wire: ours without its comments."""
    text = file.read_bytes()
    return text if OTHERS in file.parts else COMMENT.sub(b"", text)


def _version(text: bytes) -> str:
    return sha256(text).hexdigest()[:8]
