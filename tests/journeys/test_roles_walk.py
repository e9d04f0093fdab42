"""Each role walks every page it is led to, on a phone and at a desk: axe-core finds nothing, nothing
runs off the side."""

import re
from urllib.parse import urlsplit

import pytest
from django.test import override_settings
from django.urls import resolve

from maintenance.exchange.demo.people import SIGN_INS
from maintenance.exchange.demo.way_in import SECRET
from tests.journeys.axe import found_on
from tests.journeys.conftest import WIDTHS

pytestmark = pytest.mark.django_db(transaction=True)
WAYS_IN = {way_in.role: way_in for way_in in SIGN_INS}
# Pages every role is led to from its first one; the walk is worth nothing if it misses them.
LED_TO = {
    "engineer": {"week", "returns", "boats", "charters", "safety", "people", "me", "return"},
    "manager": {"week", "returns", "boats", "charters", "safety", "people", "me", "charter", "safety-kinds"},
    "office": {"week", "returns", "boats", "charters", "safety", "people", "me", "charter"},
}


# Nobody is led to a page that the manager is not led to: the others' walks are for a whole run.
@pytest.fixture(
    params=[pytest.param(role, marks=() if role == "manager" else pytest.mark.long) for role in WAYS_IN]
)
def signed_in(request, base, live_server, watched):
    """Somebody signed in at the demo base; their role."""
    way_in = WAYS_IN[request.param]
    with override_settings(ALLOWED_HOSTS=["localhost", "127.0.0.1"]):
        watched.goto(live_server.url)
        watched.get_by_label("Name to sign in with").fill(way_in.login)
        watched.get_by_label("Password").fill(way_in.password)
        watched.get_by_role("button", name="Sign in").click()
        watched.wait_for_url("**/at/**")
        yield way_in.role, watched


def looked_at(page, axe_at=tuple(WIDTHS)) -> list[str]:
    """What is wrong with a page as it stands: what runs off the side at each width, and what axe-core
    finds at some."""
    wrong = []
    for named, width in WIDTHS.items():
        page.set_viewport_size({"width": width, "height": 900})
        wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        off = [f"{page.url} runs {wide} px off the side"] if wide > 0 else []
        found = found_on(page) if named in axe_at else []
        wrong += [f"{named}: {fault}" for fault in off + found]
    return wrong


def sort_of(address: str) -> str:
    """An address without its numbers: pages of one sort are looked at once."""
    parts = urlsplit(address)
    asked = re.sub(r"=[^&]*", "=", parts.query)
    return re.sub(r"/\d+/|/[0-9a-f]{64}/", "/#/", parts.path) + ("?" + asked if asked else "")


def links_on(page, home: str) -> list[str]:
    hrefs = page.eval_on_selector_all("a[href]", "as => as.map(a => a.href)")
    inside = [href.partition("#")[0] for href in hrefs if href.startswith(home)]
    files = ("/papers/", "format=csv", "/api/schema/", "/photos/")
    return [href for href in inside if not any(part in href for part in files)]


@pytest.mark.parametrize(
    "axe_at", [("phone",), pytest.param(("desk",), marks=pytest.mark.long)], ids=lambda widths: widths[0]
)
def test_every_page_a_role_is_led_to_is_clean(signed_in, live_server, axe_at):
    role, page = signed_in
    waiting, seen, names, wrong = [page.url], set(), set(), []
    while waiting:
        address = waiting.pop(0)
        if sort_of(address) in seen:
            continue
        seen.add(sort_of(address))
        page.goto(address)
        names.add(resolve(urlsplit(page.url).path).url_name)
        wrong += looked_at(page, axe_at)
        waiting += links_on(page, live_server.url)
    assert wrong == []
    assert names >= LED_TO[role]


# Somebody else's page of all our words: long to look through, and the same whatever we change.
DOCS = pytest.param("/api/docs/", marks=pytest.mark.long)


@pytest.mark.parametrize("where", ["/sign-in/", f"/s/{SECRET}/", "/s/not-a-link/", DOCS, "/nowhere/"])
def test_a_page_that_needs_no_sign_in_is_clean(base, live_server, page, where):
    with override_settings(ALLOWED_HOSTS=["localhost", "127.0.0.1"]):
        page.goto(live_server.url + where)
        assert looked_at(page) == []
