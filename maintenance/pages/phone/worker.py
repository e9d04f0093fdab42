"""The worker that keeps a link's pages on the phone: its address, its version and what it takes at once."""

import json
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils import translation
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from fleet.pages.by_content import found, integrity_of
from maintenance.pages.phone import language
from maintenance.pages.way_in import kept_apart

SOURCE: Final = "maintenance/phone/worker.js"
# What a page of a link loads, and nothing else; test_phone_worker compares.
SCRIPTS: Final = (
    "vendor/idb-8.0.4/umd.js",
    *(f"maintenance/phone/{name}.js" for name in ("keep", "send", "shown", "photo", "form", "copies")),
)
SHELL: Final = ("fleet/almanac.css", "fleet/mark.svg", *SCRIPTS)
IMPORTED: Final = SCRIPTS[:3]  # what sends in a page sends in the worker too
NO_SIGNAL: Final = "maintenance/skipper_no_signal.html"


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The worker's source below one line that says what belongs to this release. It is asked for anew
    at every visit (Service Workers, W3C: an update is found by comparing bytes)."""
    shell = {
        "version": version(),
        "assets": {static(name): integrity_of(_file(name)) for name in SHELL},
        "imports": [static(name) for name in IMPORTED],
        "no_signal": reverse("skipper-no-signal"),
    }
    text = f"const SHELL = {json.dumps(shell)};\n{_file(SOURCE).read_text(encoding='utf-8')}"
    # A weak mark: whether it goes squeezed or not, it is the same release.
    headers = {"Cache-Control": "no-cache", "ETag": f'W/"{shell["version"]}"'}
    answer = HttpResponse(text, content_type="text/javascript; charset=utf-8", headers=headers)
    return get_conditional_response(request, etag=headers["ETag"], response=answer) or answer


@require_safe
def no_signal(request: HttpRequest) -> HttpResponse:
    """What the worker shows where a page cannot be had and no copy of it is on the phone."""
    with language.speaking(request):
        return kept_apart(language.marked(render(request, NO_SIGNAL)))


def version() -> str:
    """A hash over all that belongs to the shell: one letter changed makes another release of it."""
    over = sha256()
    for name in (SOURCE, *SHELL):
        over.update(f"{name}\0{integrity_of(_file(name))}\n".encode())
    over.update(_no_signal_said())
    return over.hexdigest()[:16]


@cache
def _no_signal_said() -> bytes:
    """The page without signal in every language, as this release says it."""
    said: list[str] = []
    for code in language.IN_DJANGO.values():
        with translation.override(code):
            said.append(render_to_string(NO_SIGNAL, {"request": HttpRequest()}))
    return "".join(said).encode()


def _file(name: str) -> Path:
    file = found(name)
    if file is None:
        raise FileNotFoundError(name)
    return file
