"""What a phone says, read field by field: what is not as agreed is named, what is odd is kept in words."""

import json
from collections.abc import Sequence
from datetime import UTC, datetime
from typing import Any

from django.utils.dateparse import parse_datetime

from maintenance.turnaround.by_phone import Kept, Odd, PhoneRefused, Photo

MOST_LISTED = 200
MOST_ID, LEAST_ID = 64, 8
HEXADECIMAL = frozenset("0123456789abcdef")


class Said(dict[str, Any]):
    """One JSON object as it came; each reader says what it wanted where it finds something else."""

    def text(self, name: str, most: int) -> str:
        """Words, without what no keyboard types; PhoneRefused where too long or no words."""
        value = self.get(name)
        if not isinstance(value, str | None):
            raise PhoneRefused(f"{name}: wanted words")
        text = readable(value or "")
        if len(text) > most:
            raise PhoneRefused(f"{name}: wanted up to {most} letters, found {len(text)}")
        return text

    def short(self, name: str, most: int) -> str:
        """Words as `text`, cut where they are too long: what only goes along is no reason to refuse."""
        value = self.get(name, "")
        return readable(value)[:most] if isinstance(value, str) else ""

    def one_of(self, name: str, choices: Sequence[str]) -> str:
        value = self.get(name, "")
        if value not in ("", None, *choices):
            raise PhoneRefused(f"{name}: wanted {', '.join(choices)} or nothing")
        return value or ""

    def number(self, name: str) -> int:
        value = self.get(name, 0)
        return value if isinstance(value, int) and not isinstance(value, bool) and 0 <= value < 2**53 else 0

    def moment(self, name: str) -> datetime | None:
        """A moment; None where it is none: no phone's clock keeps a report out."""
        value = self.get(name)
        try:
            found = parse_datetime(value) if isinstance(value, str) else None
            return found.astimezone(UTC) if found is not None and found.tzinfo is not None else None
        except (ValueError, OverflowError):  # the 31st of February; the last hour of the year 9999
            return None

    def listed(self, name: str, most: int = MOST_LISTED) -> list["Said"]:
        value = self.get(name) or []
        if not isinstance(value, list) or not all(isinstance(one, dict) for one in value):
            raise PhoneRefused(f"{name}: wanted a list")
        if len(value) > most:
            raise PhoneRefused(f"{name}: wanted at most {most}, found {len(value)}")
        return [Said(one) for one in value]

    def id(self, name: str = "id") -> str:
        value = str(self.get(name)) if isinstance(self.get(name), str) else ""
        if not (LEAST_ID <= len(value) <= MOST_ID and value.isascii() and value.isalnum()):
            raise PhoneRefused(f"{name}: wanted {LEAST_ID} to {MOST_ID} letters and digits")
        return value


def said(body: bytes) -> Said:
    """The object in a body; PhoneRefused where it is none."""
    try:
        found = json.loads(body)
    except (ValueError, RecursionError):
        found = None
    if not isinstance(found, dict):
        raise PhoneRefused("wanted a JSON object")
    return Said(found)


def kept_on_phone(given: Said, meters: dict[str, Any], odd: Sequence[Odd]) -> Kept:
    """How the phone kept it; `meters` are those a photo is of, by the photo's id."""
    return Kept(
        client_id=given.id(),
        made_at=given.moment("made_at"),
        clock=given.moment("clock"),
        photos=[_photo(one, meters) for one in given.listed("photos")],
        odd=tuple(odd),
    )


def _photo(one: Said, meters: dict[str, Any]) -> Photo:
    digest = one.short("sha256", 64).lower()
    known = len(digest) == 64 and HEXADECIMAL.issuperset(digest)
    name = one.id()
    return Photo(name, one.number("size"), digest if known else "", meters.get(name))


def readable(text: str) -> str:
    """Words in any script as they can be kept: line breaks one letter, no byte 0, no half of a letter
    (a phone may cut an emoji in two)."""
    whole = text.encode("utf-16", "surrogatepass").decode("utf-16", "replace")
    return whole.replace("\r\n", "\n").replace("\0", "").strip()
