"""What every page tells the browser to refuse, and that no page needs what is refused."""

import os
import re
import secrets
import subprocess
import sys
from html.parser import HTMLParser

import pytest
from django.conf import settings
from django.http import HttpResponse
from django.test import Client
from django.urls import reverse

from fleet.charters.links import make_link
from tests.cast import NOW
from tests.doors.test_pages_who import PAGES, address, things

# Each is a header of its standard: CSP level 3 (W3C), Fetch (WHATWG) for nosniff, RFC 7034,
# Referrer Policy (W3C), HTML (WHATWG) for the opener policy.
HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
}
POLICY = {
    "default-src": "'self'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data:",
    "object-src": "'none'",
    "base-uri": "'none'",
    "form-action": "'self'",
    "frame-ancestors": "'none'",
}


# A photo that is on the phone only is shown to who took it, out of the phone's own memory.
PREVIEWS = POLICY | {"img-src": "'self' data: blob:"}


def ours(script: dict[str, str | None]) -> bool:
    """A script in a file of ours, run once the page is read; or words for one, which no browser runs."""
    if script.get("type") == "application/json":
        return True
    source = script.get("src") or ""
    return source.startswith("/") and not source.startswith("//") and "defer" in script


class Inline(HTMLParser):
    """Collects what a policy without inline refuses: it would silently not work."""

    def __init__(self, page: HttpResponse) -> None:
        super().__init__()
        self.found: list[str] = []
        self.feed(page.content.decode())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in ("style", "base", "object", "embed", "iframe") or (
            tag == "script" and not ours(dict(attrs))
        ):
            self.found.append(f"<{tag}>")
        for name, value in attrs:
            if name == "style" or name.startswith("on"):
                self.found.append(f"{tag} {name}={value}")
            if name in ("href", "src", "action") and re.match(r"\s*(javascript|data):", value or "", re.I):
                self.found.append(f"{tag} {name}={value}")


def policy(page: HttpResponse) -> dict[str, str]:
    parts = (part.strip().partition(" ") for part in page["Content-Security-Policy"].split(";"))
    return {name: sources for name, _, sources in parts}


@pytest.fixture
def every_page(sign_in, cast) -> dict[str, HttpResponse]:
    """Every page a manager can open, those of no base, and what is said where nothing is."""
    manager, nobody = sign_in("manager"), Client()
    ours = things(cast, "twice shy", "port engine-oil", "change", "T2")
    _, secret = make_link(cast.charter["S2"], at=NOW)
    pages = {name: manager.get(address(name, ours)) for name, row in PAGES.items() if row[1]}
    pages |= {name: manager.get(reverse(name)) for name in ("me", "api-docs")}
    pages |= {"sign-in": nobody.get(reverse("sign-in")), "404": nobody.get("/nowhere/")}
    pages["bases"] = sign_in("stranger").get(address("week", ours))
    pages["skipper"] = nobody.get(reverse("skipper", args=[secret]))
    pages["skipper, a bad link"] = nobody.get(reverse("skipper", args=["x" * 28]))
    tick = {"line": cast.line("twice shy port engine-oil", "change")}
    pages["work"] = manager.get(address("work", ours), tick)
    refused = {"filed_by": "base", "day": "31.02.2026", "defects": "x"}
    pages["return refused"] = manager.post(address("return", ours), refused)
    return {n: p for n, p in pages.items() if p.get("Content-Type", "").startswith("text/html")}


def test_every_page_tells_the_browser_what_to_refuse_and_needs_none_of_it(every_page):
    assert len(every_page) >= 20
    for name, page in every_page.items():
        assert {header: page.get(header) for header in HEADERS} == HEADERS, name
        assert policy(page) == (PREVIEWS if name.startswith("skipper") else POLICY), name
    assert {name: Inline(page).found for name, page in every_page.items() if Inline(page).found} == {}


def test_the_look_finds_what_is_refused():
    """What the walk above looks for, it sees."""
    seen = Inline(
        HttpResponse(
            '<base href="/"><p style="x" onclick="y"><a href=" JavaScript:z">a</a>'
            '<style></style><script></script><script src="//elsewhere/x.js" defer></script>'
            '<script src="/static/x.js"></script><script src="/static/x.js" defer></script>'
        )
    )
    assert len(seen.found) == 8


def test_the_pages_forms_and_pictures_stay_at_home():
    """Nothing is fetched from elsewhere: a base has its pages where the world's net is gone."""
    for sources in PREVIEWS.values():
        assert set(sources.split()) <= {"'self'", "'none'", "data:", "blob:"}


def check(*args: str, **env: str) -> subprocess.CompletedProcess[str]:
    """Django's own look at the settings as a base would run them."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("FETTLE_")}
    command = [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING", *args]
    return subprocess.run(command, cwd=settings.HOME, env=kept | env, capture_output=True, text=True)


def production() -> dict[str, str]:
    key = secrets.token_urlsafe(50)
    return {"FETTLE_HTTPS": "1", "FETTLE_SECRET_KEY": key, "FETTLE_HOSTS": "base.example"}


def test_production_settings_give_django_nothing_to_warn_of():
    checked = check(**production())
    assert checked.returncode == 0, checked.stderr
    assert "System check identified no issues (0 silenced)." in checked.stdout + checked.stderr


@pytest.mark.parametrize(
    ("changed", "warned"),
    [
        ({"FETTLE_HTTPS": "0"}, "security.W012"),
        ({"FETTLE_SECRET_KEY": "short"}, "security.W009"),
        ({"FETTLE_DEBUG": "1"}, "security.W018"),
    ],
)
def test_a_setting_that_is_not_for_production_is_warned_of(changed, warned):
    checked = check("--tag", "security", **production() | changed)
    assert checked.returncode == 1
    assert warned in checked.stderr
