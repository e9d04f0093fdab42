"""A page's forms as a person meets them: what they hold when it opens, and the buttons to tap."""

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

from django.http import HttpResponse
from django.test import Client

MAIN = "the main button"


@dataclass
class Sheet:
    """One form: what it would send as it stands, and its buttons as [name, value, text]."""

    action: str
    method: str
    values: dict[str, list[str]] = field(default_factory=dict)
    buttons: list[list[str]] = field(default_factory=list)

    def button(self, text: str) -> list[str]:
        """The button that says so."""
        found = [b for b in self.buttons if text.lower() in b[2].lower()]
        assert found, f"no button says “{text}”, only {[b[2] for b in self.buttons]}"
        return found[0]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.sheets: list[Sheet] = []
        self._here: Sheet | None = None
        self._name: str | None = None
        self._text: list[str] | None = None
        self._chosen: str | None = None

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        given = dict(attrs)
        if tag == "form":
            self._here = Sheet(given.get("action", ""), given.get("method", "get"))
            self.sheets.append(self._here)
        elif self._here is None:
            return
        elif tag == "input":
            self._input(self._here, given)
        elif tag == "option":
            if self._chosen is None or "selected" in given:
                self._chosen = given.get("value", "")
        elif tag in ("select", "textarea", "button"):
            self._name, self._text, self._chosen = given.get("name"), [], None
            if tag == "button":
                text = f"{MAIN}: " if given.get("class") == "main" else ""
                self._here.buttons.append([given.get("name", ""), given.get("value", ""), text])

    def _input(self, sheet: Sheet, given: dict[str, Any]) -> None:
        ticked = given.get("type") not in ("checkbox", "radio") or "checked" in given
        if "name" in given and ticked:
            unsaid = "on" if given.get("type") in ("checkbox", "radio") else ""
            sheet.values.setdefault(given["name"], []).append(given.get("value", unsaid))

    def handle_data(self, data: str) -> None:
        if self._text is not None:
            self._text.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._here = None
        elif self._here is not None and self._text is not None and tag in ("select", "textarea", "button"):
            text = "".join(self._text)
            if tag == "button":
                self._here.buttons[-1][2] += " ".join(text.split())
            elif self._name:
                said = self._chosen or "" if tag == "select" else text.removeprefix("\n")
                self._here.values[self._name] = [said]
            self._text = None


def sheets(page: HttpResponse) -> list[Sheet]:
    reader = _Reader()
    reader.feed(page.content.decode())
    return reader.sheets


def sheet_with(page: HttpResponse, text: str) -> Sheet:
    """The form that has a button that says so."""
    found = [s for s in sheets(page) if any(text.lower() in b[2].lower() for b in s.buttons)]
    assert found, f"no form has a button that says “{text}”"
    return found[0]


def tap(browser: Client, page: HttpResponse, text: str, **typed: Any) -> HttpResponse:
    """Taps the button that says so, with what was typed put over what the form holds."""
    sheet = sheet_with(page, text)
    name, value, _ = sheet.button(text)
    sent: dict[str, Any] = dict(sheet.values) | typed
    if name:
        sent[name] = [*sent.get(name, []), value] if name in sheet.values else value
    address = sheet.action.partition("#")[0] or page.request["PATH_INFO"] + _query(page)
    if sheet.method.lower() == "post":
        return browser.post(address, sent)
    return browser.get(address, sent)


def _query(page: HttpResponse) -> str:
    query = page.request.get("QUERY_STRING", "")
    return f"?{query}" if query else ""


def said(page: HttpResponse) -> str:
    """The words of a page, in one line, without its marks; what only a script may show is not said."""

    class Words(HTMLParser):
        found: list[str] = []
        unsaid = 0

        def handle_starttag(self, tag: str, attrs: object) -> None:
            self.unsaid += tag in ("script", "template")

        def handle_endtag(self, tag: str) -> None:
            self.unsaid -= tag in ("script", "template")

        def handle_data(self, data: str) -> None:
            if not self.unsaid:
                self.found.append(data)

    words = Words()
    words.found = []
    words.feed(page.content.decode())
    return " ".join(" ".join(words.found).split())
