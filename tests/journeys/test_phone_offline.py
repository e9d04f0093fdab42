"""The link with no signal: what is on the phone after one visit, what it weighed, and how it is renewed."""

import re
import time
from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from maintenance.exchange.demo.way_in import SECRET
from tests.journeys.served import Served

pytestmark = pytest.mark.xdist_group("harbour")  # one process of a base is enough for all of them
LINK = f"/s/{SECRET}/"
PAGES = {
    "": "What is wrong on Bowline?",
    "return/": "Giving Bowline back",
    "sent/": "What you sent, and what the base says",
    "told/": "What you were told of Bowline",
}
PHONE = {"width": 390, "height": 844}
PHOTOS = 2
LIMIT = 60_000  # bytes, the figure
# Slow 3G as the browser's own tools name it: 400 ms before an answer begins, 400 kbit/s both ways.
SLOW_3G = {"offline": False, "latency": 400, "downloadThroughput": 50_000, "uploadThroughput": 50_000}
TRIES = 3
CACHED = """async () => {
  const found = {};
  for (const name of await caches.keys()) {
    const kept = await (await caches.open(name)).keys();
    found[name] = kept.map(({ url }) => url.slice(location.origin.length)).sort();
  }
  return found;
}"""
IN_COPY = """async (path) => {
  const answer = await caches.match(path, { ignoreVary: true });
  return answer ? [answer.headers.get('Content-Language'), await answer.text()] : ['', ''];
}"""
USABLE = """() => {
  const { domContentLoadedEventEnd, loadEventEnd } = performance.getEntriesByType('navigation')[0];
  const painted = performance.getEntriesByName('first-contentful-paint')[0];
  return [Math.max(domContentLoadedEventEnd, painted ? painted.startTime : Infinity), loadEventEnd];
}"""


@pytest.fixture(scope="module")
def harbour(tmp_path_factory) -> Served:
    """The demo base in a process of its own."""
    served = Served(tmp_path_factory.mktemp("harbour"))
    served.run("-m", "tests.journeys.served")
    yield served
    served.stop()
    served.wire.close()


@pytest.fixture
def base(harbour) -> Served:
    """It answers at once, and its link is open; started anew where a test before killed it."""
    harbour.wire.hangs, harbour.wire.slow = False, 0.0
    harbour.wire.cut()
    harbour.change("UPDATE fleet_link SET revoked_at = NULL")
    if harbour.process is None:
        harbour.start()
    harbour.log.write_text("")  # it is opened to be added to
    return harbour


@pytest.fixture
def phone(browser: Browser) -> BrowserContext:
    context = browser.new_context(viewport=PHONE, locale="en-GB")
    yield context
    context.close()


@pytest.fixture
def page(phone: BrowserContext) -> Page:
    return phone.new_page()


@pytest.fixture
def opens(base, page) -> Callable[..., object]:
    return lambda path="", of=None: (of or page).goto(base.wire.address + LINK + path)


def until(holds: Callable[[], bool], what: str) -> None:
    """Waits for what happens behind the page; 30 s is for a machine with much else to do."""
    ends = time.monotonic() + 30
    while not holds():
        assert time.monotonic() < ends, f"wanted {what}"
        time.sleep(0.1)


def copies(page: Page) -> list[str]:
    """Paths of what is kept of links, without the shell."""
    return [path for name, paths in page.evaluate(CACHED).items() if "link" in name for path in paths]


def shells(page: Page) -> list[str]:
    return [name for name in page.evaluate(CACHED) if "shell" in name]


def copy_of(page: Page, path: str) -> tuple[str, str]:
    """Its language and its words."""
    language, text = page.evaluate(IN_COPY, LINK + path)
    return language, text


def all_kept(page: Page) -> bool:
    kept = copies(page)
    return {LINK + name for name in PAGES} <= set(kept) and sum("/papers/" in one for one in kept) == PHOTOS


@pytest.fixture
def visited(opens, page) -> Page:
    """The link was opened once, and the phone kept what it keeps."""
    opens()
    until(lambda: all_kept(page), "all pages and photos kept")
    return page


def lose_signal(way: str, phone: BrowserContext, base: Served) -> None:
    if way == "airplane mode":
        phone.set_offline(True)
    else:
        base.stop()


WAYS = ["airplane mode", pytest.param("the server killed", marks=pytest.mark.long)]


# What it weighs, and how soon it can be used


@pytest.mark.parametrize("locale", ["en-GB", "el-GR"])  # Greek is the heaviest of the eight
def test_the_first_load_counts_less_than_60_kb_with_all_that_is_kept(base, browser, opens, capsys, locale):
    context = browser.new_context(viewport=PHONE, locale=locale)
    page = context.new_page()
    seen: list[float] = []
    wire = context.new_cdp_session(page)
    wire.send("Network.enable")
    wire.on("Network.loadingFinished", lambda told: seen.append(told["encodedDataLength"]))
    before = base.wire.down
    opens(of=page)
    until(lambda: all_kept(page), "all pages and photos kept")
    wire.send("Page.getInstallabilityErrors")  # has it fetch the manifest and a mark
    until(lambda: any("mark-192" in path for _, path, *_ in base.asked()), "the app's mark fetched")
    context.close()
    down, asked = base.wire.down - before, base.asked()
    bodies = sum(int(size) for *_, size in asked)
    photos = sum(int(size) for _, path, _, size in asked if "/papers/" in path)
    with capsys.disabled():
        print(f"\nfirst load, {locale}: {down - photos} bytes over the wire, {len(asked)} answers, of them")
        print(f"{bodies - photos} bodies; {sum(seen):.0f} by the browser's own count for the page alone;")
        print(f"behind it {PHOTOS} photos of known damage, {photos} bytes, one after the other")
    assert bodies <= down < bodies + 1_000 * len(asked)  # no head of an answer of ours is as long as that
    assert sum(seen) <= down
    assert down - photos < LIMIT
    assert {method for method, *_ in asked} == {"GET"}


def soonest(base: Served, browser: Browser, path: str) -> tuple[float, float]:
    """On slow 3G and a phone that was never there: until it is usable, and loaded; ms, the best of some."""
    found = []
    for _ in range(TRIES):
        context = browser.new_context(viewport=PHONE)
        page = context.new_page()
        wire = context.new_cdp_session(page)
        wire.send("Network.emulateNetworkConditions", SLOW_3G)
        page.goto(base.wire.address + path, wait_until="load")
        page.wait_for_function("() => performance.getEntriesByName('first-contentful-paint').length")
        found.append(page.evaluate(USABLE))
        context.close()
    return min(usable for usable, _ in found), min(loaded for _, loaded in found)


def test_on_slow_3g_it_is_usable_almost_as_soon_as_an_empty_page_and_again_without_the_server(
    base, browser, phone, page, opens, capsys
):
    _, empty = soonest(base, browser, "/s/no-signal/")
    usable, _ = soonest(base, browser, LINK)
    opens()
    until(lambda: all_kept(page), "all pages and photos kept")
    phone.new_cdp_session(page).send("Network.emulateNetworkConditions", SLOW_3G)
    base.stop()
    page.reload()
    again, _ = page.evaluate(USABLE)
    with capsys.disabled():
        print(
            f"\nslow 3G (400 ms, 400 kbit/s): usable after {usable / 1000:.2f} s; an empty page of ours with"
        )
        print(f"its style sheet {empty / 1000:.2f} s; reloaded with the server killed {again / 1000:.2f} s")
    assert usable < 2.1 * empty  # 2 s where an empty page takes 0.95 s, two turns of the wire and 7 kB
    assert again < usable


# With no signal


@pytest.mark.parametrize("way", WAYS)
def test_every_page_of_the_link_opens_says_it_is_a_copy_and_since_when(base, phone, visited, opens, way):
    lose_signal(way, phone, base)
    for path, heading in PAGES.items():
        opens(path)
        expect(visited.get_by_role("heading", name=heading, level=1)).to_be_visible()
        expect(visited.locator(".of-copy")).to_contain_text("the copy kept on this phone")
        expect(visited.locator(".of-copy time")).to_have_text(re.compile(r"\d\d:\d\d"))
        expect(visited.get_by_role("link", name=re.compile("Ring the base")).first).to_be_visible()
        assert visited.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(250, 247, 239)"
    visited.get_by_role("link", name="What you sent").first.click()
    expect(visited.get_by_role("heading", name=PAGES["sent/"], level=1)).to_be_visible()


@pytest.mark.parametrize("way", WAYS)
def test_known_damage_is_there_with_its_photos(base, phone, visited, opens, way):
    lose_signal(way, phone, base)
    opens("told/")
    expect(visited.get_by_text("Scratch, a hand long")).to_be_visible()
    for n in range(PHOTOS):
        visited.get_by_role("link", name="Photo 1").nth(n).click()
        visited.wait_for_url("**/papers/**")
        assert visited.evaluate("document.images[0].naturalWidth") in (800, 801)
        visited.go_back()


@pytest.mark.long
def test_the_language_chosen_is_kept_in_every_copy(phone, visited, opens):
    opens("?speak=de")
    until(lambda: all(copy_of(visited, path)[0] == "de" for path in PAGES), "every copy in German")
    until(lambda: visited.evaluate(IN_COPY, "/s/no-signal/")[0] == "de", "the page without signal in German")
    phone.set_offline(True)
    for path in [*PAGES, "papers/none/"]:
        opens(path)
        expect(visited.locator("html")).to_have_attribute("lang", "de")


def test_a_page_that_is_not_on_the_phone_says_so_and_how_to_ring(phone, visited, opens):
    phone.set_offline(True)
    for path in ("papers/none/", "happening/"):
        assert opens(path).status == 503
        expect(visited.get_by_role("heading", level=1)).to_contain_text("No signal")
        expect(visited.get_by_role("link", name=re.compile("Ring the base, "))).to_be_visible()
    visited.get_by_role("link", name="To the first page of your link").click()
    expect(visited.get_by_role("heading", name=PAGES[""], level=1)).to_be_visible()


@pytest.mark.long
def test_a_net_that_hangs_shows_the_copy_all_the_same(base, visited, opens):
    base.wire.hangs = True
    base.wire.cut()
    for path, heading in PAGES.items():
        opens(path)
        expect(visited.get_by_role("heading", name=heading, level=1)).to_be_visible()
        expect(visited.locator(".of-copy")).to_be_visible()
    opens("papers/none/")
    expect(visited.get_by_role("heading", level=1)).to_contain_text("No signal")


@pytest.mark.long
def test_a_slow_answer_renews_the_copy_behind_the_page(base, visited, opens):
    base.change("UPDATE fleet_base SET name = ? WHERE code = 'alvorim'", "Alvorim Quay")
    base.wire.slow = 4
    base.wire.cut()
    opens()
    expect(visited.locator(".of-copy")).to_be_visible()
    expect(visited.locator(".lede").first).not_to_contain_text("Alvorim Quay")
    until(lambda: "Alvorim Quay" in copy_of(visited, "")[1], "the copy renewed")
    base.wire.slow = 0
    opens()
    expect(visited.locator(".lede").first).to_contain_text("Alvorim Quay")
    expect(visited.locator(".of-copy")).to_be_hidden()


def test_a_form_from_a_copy_begins_a_report_of_its_own_each_time(phone, visited, opens):
    phone.set_offline(True)
    ids = {re.search(r'name="client_id" value="([0-9a-f]{32})"', opens().text())[1] for _ in range(3)}
    assert len(ids) == 3


# What is kept, and what is not


def test_nothing_is_kept_but_the_pages_their_photos_and_the_shell(visited):
    kept = visited.evaluate(CACHED)
    assert len(kept) == 2
    papers = [path for path in copies(visited) if "/papers/" in path]
    assert sorted(copies(visited)) == sorted([*(LINK + path for path in PAGES), *papers])
    [shell] = shells(visited)
    named = {"/s/no-signal/", "/s/kept.js", "/s/page.js"}
    assert all(path.partition("?")[0] in named or path.startswith("/static/") for path in kept[shell])


def test_what_is_said_for_once_is_in_no_copy(phone, visited, opens):
    visited.locator("textarea[name=words]").fill("The forward hatch drips")
    visited.evaluate("document.getElementById('said').submit()")  # as where the phone's own script cannot
    expect(visited.get_by_text(re.compile("^Sent to "))).to_be_visible()
    until(lambda: "The forward hatch drips" in copy_of(visited, "sent/")[1], "the report in the copy")
    phone.set_offline(True)
    opens("sent/")
    expect(visited.get_by_text("The forward hatch drips").first).to_be_visible()
    expect(visited.get_by_text(re.compile("^Sent to "))).to_have_count(0)


def test_a_link_that_was_closed_drops_its_copies_and_nothing_that_waits(base, phone, visited, opens):
    phone.set_offline(True)
    opens()
    visited.get_by_label("What happens").fill("The bilge pump hums and stops")
    visited.get_by_role("button", name="Send to the base").click()
    expect(visited.get_by_text("The bilge pump hums and stops").first).to_be_visible()
    base.change("UPDATE fleet_link SET revoked_at = ?", "2026-01-01 00:00:00")
    phone.set_offline(False)
    assert opens("told/").status == 410
    until(lambda: copies(visited) == [], "no copy of the link")
    expect(visited.get_by_text("The base closed this way in").first).to_be_visible()
    phone.set_offline(True)
    opens()
    expect(visited.get_by_role("heading", level=1)).to_contain_text("No signal")
    phone.set_offline(False)
    opens()
    expect(visited.locator("textarea[readonly]")).to_have_value(re.compile("The bilge pump hums and stops"))


# Another release


@pytest.mark.long
def test_a_new_release_takes_over_whole_and_an_open_page_works_on(base, phone, visited, opens):
    [before] = shells(visited)
    other = phone.new_page()
    opens("return/", other)
    sheet = base.release / "fleet/static/fleet/almanac.css"
    sheet.write_text(sheet.read_text() + "\nh1 { letter-spacing: 3px; }\n")
    base.stop()
    base.start()
    opens()
    until(lambda: shells(visited) not in ([before], []) and len(shells(visited)) == 1, "the new shell alone")
    expect(visited.locator("h1")).to_have_css("letter-spacing", "3px")
    other.get_by_label("Lost").first.fill("Torch")  # opened in the release before
    other.reload()
    expect(other.get_by_label("Lost").first).to_have_value("Torch")
    phone.set_offline(True)
    for path in PAGES:
        opens(path)
        expect(visited.locator("h1")).to_have_css("letter-spacing", "3px")


# An app


def test_the_browser_judges_it_fit_to_be_installed(base, browser_type, browser_type_launch_args, tmp_path):
    """Not in a private window, where nothing is ever installed."""
    context = browser_type.launch_persistent_context(tmp_path / "profile", **browser_type_launch_args)
    page = context.pages[0]
    page.goto(base.wire.address + LINK)
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    wire = context.new_cdp_session(page)
    told = wire.send("Page.getAppManifest")
    assert told["errors"] == []
    assert told["url"] == f"{base.wire.address}{LINK}app.webmanifest"
    assert wire.send("Page.getInstallabilityErrors") == {"installabilityErrors": []}
    context.close()


def test_an_address_begun_with_a_capital_is_the_same_app(base, page):
    page.goto(f"{base.wire.address}/S/{SECRET.upper()}/told/")
    assert page.url == f"{base.wire.address}{LINK}told/"
    until(lambda: all_kept(page), "all pages and photos kept")
