"""A turnaround Saturday at the demo base, and what its people tap on their phones."""

import re
from datetime import UTC, datetime, timedelta

from django.urls import reverse
from playwright.sync_api import Page, expect

from maintenance.exchange.demo.hires import coming_saturday
from maintenance.exchange.demo.people import SIGN_INS

PHONE = {"width": 390, "height": 844}


def saturday_morning() -> datetime:
    """Ten o'clock at the base on the coming Saturday."""
    day = coming_saturday(datetime.now(UTC).date())
    return datetime(day.year, day.month, day.day, 10, 0, tzinfo=UTC)


def weekday_after(moment: datetime) -> datetime:
    return moment + timedelta(days=3)


class Somebody:
    """Somebody of the base with a phone of their own."""

    def __init__(self, browser, address: str, role: str) -> None:
        way_in = next(way for way in SIGN_INS if way.role == role)
        self.address, self.name = address, way_in.name
        self.page: Page = browser.new_context(viewport=PHONE).new_page()
        self.page.goto(address + "/sign-in/")
        self.page.get_by_label("Name to sign in with").fill(way_in.login)
        self.page.get_by_label("Password").fill(way_in.password)
        self.tap("Sign in")
        self.page.wait_for_url("**/at/**")

    def open(self, name: str, **numbers: int) -> Page:
        self.page.goto(self.address + reverse(name, kwargs={"base": "alvorim", **numbers}))
        return self.page

    def tap(self, words: str | re.Pattern[str], *, nth: int = 0) -> None:
        """Taps the button or link of these words, as it stands on the page, and waits for the next."""
        button = self.page.get_by_role("button", name=words).or_(self.page.get_by_role("link", name=words))
        with self.page.expect_navigation():
            button.nth(nth).click()

    def sees(self, words: str | re.Pattern[str]) -> None:
        expect(self.page.locator("main")).to_contain_text(words)

    def take_back(self, boat: int) -> None:
        """The base's check-out: nothing said but that she is back."""
        self.open("return", boat=boat)
        for no in self.page.get_by_role("radio", name="No", exact=True).all():
            no.check(force=True)
        self.tap("File this return")

    def walk_the_round(self, boat: int) -> None:
        """Every check in order, and signed, where nobody has."""
        self.open("round", boat=boat)
        if self.page.get_by_role("button", name="Start with the usual list").count():
            self.tap("Start with the usual list")
        if not self.page.get_by_role("button", name="Sign the round").count():
            return self.sees("Signed by")
        for name in ("In order", "Intact"):
            for tile in self.page.get_by_role("radio", name=name, exact=True).all():
                tile.check(force=True)
        self.tap("Sign the round")
        return self.sees("Signed by")

    def release(self, boat: int, *, how: str = "Looked at it", other: str = "") -> None:
        """Says that she goes; what holds her is let be to a limit, with a reason."""
        page = self.open("release", boat=boat)
        boxes = page.locator("input[name=let_be]").all()
        for box in boxes:
            box.check(force=True)
        if boxes:
            page.get_by_label("Limit for the skipper").fill("By day, within 20 nm of the base")
            page.get_by_label("Why it is let be").fill("The part comes on Monday, the skipper knows")
        form = page.locator("form", has=page.get_by_role("button", name=re.compile("^Release her")))
        form.get_by_role("radio", name=how).first.check(force=True)
        if other:
            self._by_telephone(form, other)
        self.tap(re.compile("^Release her"))

    def _by_telephone(self, form, other: str) -> None:
        if not form.get_by_label("Who else").is_visible():
            form.locator("summary", has_text="Another name").click()
        form.get_by_label("Who else").fill(other)
        form.get_by_role("radio", name="By telephone").check(force=True)

    def hand_over(self, charter: int) -> None:
        self.open("handover", charter=charter)
        self.tap(re.compile("^Hand .* over"))
