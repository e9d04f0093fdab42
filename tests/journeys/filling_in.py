"""What a thumb does on the skipper's pages, and what the phone has then: for the browser's tests."""

from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect

SEND = "Send to the base"
STEP = 100  # ms
KEPT = """async () => {
    const entries = await fettle.keep.entries();
    const db = await idb.openDB('fettle');
    const [drafts, photos] = await Promise.all(['drafts', 'photos'].map((store) => db.count(store)));
    const blobs = (await db.getAllKeys('blobs')).filter((key) => key !== 'ready').length;
    const ready = await db.count('blobs', 'ready');
    db.close();
    return { entries, drafts, photos, blobs, ready };
}"""


def open_form(context: Any, address: str) -> Page:
    """A tab with the form, its script at work."""
    page = context.new_page()
    page.goto(address)
    ready(page)
    return page


def ready(page: Page) -> None:
    page.locator("form[data-keeps=yes]").wait_for()


def tap(page: Page, name: str, value: str) -> None:
    page.locator(f"label:has([name='{name}'][value='{value}'])").tap()


def report(page: Page, words: str) -> None:
    page.get_by_label("What happens").fill(words)
    tap(page, "works", "sometimes")


def choose(page: Page, *files: Path | dict[str, Any], into: str = "[name=photos]") -> None:
    page.locator(into).set_input_files(list(files))


def shown_photos(page: Page, number: int, timeout: float = 20_000) -> None:
    expect(page.locator(".taken li:has(button)")).to_have_count(number, timeout=timeout)
    expect(page.locator(".taken li:not(:has(button))")).to_have_count(0, timeout=timeout)


def send(page: Page) -> None:
    page.get_by_role("button", name=SEND).click()


def on_phone(page: Page) -> dict[str, Any]:
    """What this phone keeps: entries of the outbox, and how many drafts, photos and their bytes."""
    kept: dict[str, Any] = page.evaluate(KEPT)
    return kept


def until(page: Page, is_so: str, timeout: float = 20_000) -> None:
    """Waits for what the page is asked; `wait_for_function` takes a promise itself for a yes."""
    for _ in range(int(timeout / STEP)):
        if page.evaluate(is_so):
            return
        page.wait_for_timeout(STEP)
    raise AssertionError(f"not so within {timeout} ms: {is_so}")


def nothing_waits(page: Page) -> None:
    until(page, "async () => (await fettle.send.waiting()) === 0")


def was_tried(page: Page, times: int) -> None:
    """One thing was sent so often and not acknowledged."""
    until(page, f"async () => (await fettle.keep.entries()).some((one) => one.tries === {times})")
