"""A browser at the demo base: Debian's Chromium, on a phone's and a desk's width."""

import os
import shutil
from datetime import UTC, datetime

import pytest
from django.db import connections
from django.test import override_settings

from fleet.charters.links import make_link
from maintenance.exchange.demo.building import build
from maintenance.exchange.demo.people import SIGN_INS
from tests.cast import NOW
from tests.journeys.under_way import UnderWay
from tests.once_more import once_more

# Playwright's own event loop stands in the thread that also makes the test database.
os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
MOST_STEPS = 100
WIDTHS = {"phone": 390, "desk": 1280}


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings, tmp_path_factory):
    """In a file, as at a base: in memory all the server's threads would speak through one connection."""
    file = tmp_path_factory.mktemp("base") / "base.sqlite3"
    connections["default"].settings_dict["TEST"]["NAME"] = str(file)


@pytest.fixture(scope="session")
def under_way(live_server):
    """What the server has not answered to the end."""
    return UnderWay(live_server.thread.httpd)


@pytest.fixture(autouse=True)
def answered(request):
    """No test ends, and no table is emptied, while the server works for a page that was left."""
    if "live_server" not in request.fixturenames:
        yield
        return
    request.getfixturevalue("transactional_db")
    server = request.getfixturevalue("under_way")
    yield
    if "browser" in request.fixturenames:  # whose pages would go on asking for what is new
        for context in request.getfixturevalue("browser").contexts:
            context.close()
    server.wait()


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    chromium = shutil.which("chromium")
    assert chromium, "wanted Debian's chromium: apt-get install chromium"
    return browser_type_launch_args | {"executable_path": chromium, "args": ["--no-sandbox"]}


@pytest.fixture
def watched(page):
    """A page; anything the browser complains of fails the test, but what it says it will."""
    said: list[str] = []
    page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    yield page
    expected = ("422", *getattr(page, "may_complain_of", ()))
    assert not [text for text in said if not any(part in text for part in expected)], said


# What a page does is the same at both widths; how it looks at each is the walk's of test_roles_walk.py.
@pytest.fixture(params=["phone", pytest.param("desk", marks=pytest.mark.long)])
def screen(request, watched):
    """The same at one width."""
    watched.set_viewport_size({"width": WIDTHS[request.param], "height": 900})
    return watched


@pytest.fixture
def base(transactional_db):
    """The demo base, built for this day; for this moment where a test is the first to want it."""
    now = datetime.now(UTC)
    return once_more(("demo", now.date()), lambda: build(now)[0])


@pytest.fixture
def at_the_week(base, live_server, screen):
    """Signed in as the engineer, with only the address given."""
    with override_settings(ALLOWED_HOSTS=["localhost", "127.0.0.1"]):
        engineer = next(way_in for way_in in SIGN_INS if way_in.role == "engineer")
        screen.goto(live_server.url)
        screen.get_by_label("Name to sign in with").fill(engineer.login)
        screen.get_by_label("Password").fill(engineer.password)
        screen.get_by_role("button", name="Sign in").click()
        screen.wait_for_url("**/at/**")
        yield screen


@pytest.fixture
def link(cast, today_is, live_server):
    """The address of Sandpiper's link, at a base whose telephone can be dialled."""
    type(cast.base).objects.filter(pk=cast.base.pk).update(phone="+30 210 555 0101")
    secret = make_link(cast.charter["S2"], at=NOW)[1]
    with override_settings(ALLOWED_HOSTS=["localhost", "127.0.0.1"]):
        yield f"{live_server.url}/s/{secret}/"


@pytest.fixture
def pocket(browser):
    """A telephone without the worker, so that a test can stand in the line; its pages are tabs."""
    context = browser.new_context(
        viewport={"width": WIDTHS["phone"], "height": 844}, has_touch=True, service_workers="block"
    )
    faults: list[str] = []
    context.on("weberror", lambda error: faults.append(str(error.error)))
    under_way: set[object] = set()
    context.on("request", lambda request: under_way.add(request))
    context.on("requestfinished", lambda request: under_way.discard(request))
    context.on("requestfailed", lambda request: under_way.discard(request))
    yield context
    for _ in range(MOST_STEPS):  # the server answers to nobody else: a wire cut now is an error of its own
        if under_way and context.pages:
            context.pages[0].wait_for_timeout(50)
    context.close()
    assert not faults, faults
