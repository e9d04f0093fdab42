"""The worker that keeps a link's pages on the phone: its address, its version and what it takes at once."""

import json
from functools import cache
from hashlib import sha256
from typing import Final

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.templatetags.static import static
from django.urls import reverse
from django.utils import translation
from django.utils.cache import get_conditional_response
from django.views.decorators.http import require_safe

from fleet.pages.by_content import integrity_of
from maintenance.pages.phone import language, scripts
from maintenance.pages.way_in import kept_apart

SOURCE: Final = "maintenance/phone/worker.js"
FILES: Final = ("fleet/almanac.css", "fleet/mark.svg")
NO_SIGNAL: Final = "maintenance/skipper_no_signal.html"


@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The worker's source below one line that says what belongs to this release. It is asked for anew
    at every visit (Service Workers, W3C: an update is found by comparing bytes)."""
    told = {
        "version": version(),
        "assets": shell(),
        "imports": [scripts.address_of("kept")],
        "no_signal": reverse("skipper-no-signal"),
    }
    text = f"const SHELL = {json.dumps(told)};\n{scripts.as_sent(scripts.file_of(SOURCE)).decode()}"
    # A weak mark: whether it goes squeezed or not, it is the same release.
    headers = {"Cache-Control": "no-cache", "ETag": f'W/"{told["version"]}"'}
    answer = HttpResponse(text, content_type="text/javascript; charset=utf-8", headers=headers)
    return get_conditional_response(request, etag=headers["ETag"], response=answer) or answer


@require_safe
def no_signal(request: HttpRequest) -> HttpResponse:
    """What the worker shows where a page cannot be had and no copy of it is on the phone."""
    with language.speaking(request):
        return kept_apart(language.marked(render(request, NO_SIGNAL)))


def shell() -> dict[str, str]:
    """What a page of a link loads, and nothing else, by its address, each with its hash."""
    files = {static(name): integrity_of(scripts.file_of(name)) for name in FILES}
    return files | {scripts.address_of(name): scripts.integrity_of(name) for name in scripts.SCRIPTS}


def version() -> str:
    """A hash over all that belongs to the shell: one letter changed makes another release of it."""
    over = sha256(json.dumps(shell()).encode())
    over.update(integrity_of(scripts.file_of(SOURCE)).encode())
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
