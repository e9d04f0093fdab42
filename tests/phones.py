"""A skipper's phone as a test holds it: what it makes, sends, is cut off in, and sends again."""

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from hashlib import sha256
from random import Random
from typing import Any

from django.http import HttpResponse
from django.test import Client
from PIL import Image

from tests.cast import NOW
from tests.papers import encoded

AS_PHONE = "application/partial-upload"


def new_id(number: int | str) -> str:
    """32 hex as a phone makes them, the same for the same number."""
    return sha256(f"made on a phone {number}".encode()).hexdigest()[:32]


def picture(number: int | str, width: int = 48, height: int = 32, **more: Any) -> bytes:
    """A small JPEG unlike any other's."""
    noise = Random(f"picture {number}").randbytes(width * height * 3)
    return encoded(Image.frombytes("RGB", (width, height), noise), **more)


def announced(name: str, data: bytes, **otherwise: Any) -> dict[str, Any]:
    """A photo as a report names it."""
    return {"id": name, "size": len(data), "sha256": sha256(data).hexdigest()} | otherwise


def iso(moment: datetime) -> str:
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def report(number: int | str = 1, **otherwise: Any) -> dict[str, Any]:
    """A report as a phone keeps it, written three hours before it is sent."""
    said = {
        "id": new_id(number),
        "made_at": iso(NOW - timedelta(hours=3)),
        "clock": iso(NOW),
        "boat": 0,
        "boat_name": "Sandpiper",
        "where": "",
        "where_said": "",
        "words": "Heads pump leaks",
        "works": "",
        "danger": "",
        "used": [],
        "used_words": "",
        "reporter": "Mate",
        "language": "en",
        "photos": [],
    }
    return said | otherwise


def given_back(number: int | str = 1, **otherwise: Any) -> dict[str, Any]:
    """A return as a phone keeps it, with one word in it."""
    said = {key: report(number)[key] for key in ("id", "made_at", "clock", "boat", "boat_name", "reporter")}
    return said | {"dials": [], "answers": {}, "lost": "Torch", "defects": "", "photos": []} | otherwise


class CutLine:
    """What a server reads of a request whose line is cut after so many bytes."""

    def __init__(self, data: bytes, after: int) -> None:
        self.left = data[:after]

    def read(self, most: int = -1) -> bytes:
        piece = self.left if most < 0 else self.left[:most]
        self.left = self.left[len(piece) :]
        if not piece:
            raise ConnectionResetError("the line is cut")
        return piece

    readline = read


@dataclass
class Phone:
    """Speaks what /s/<secret>/ takes; answers are Django's."""

    secret: str
    boat: int = 0
    client: Client = field(default_factory=lambda: Client(enforce_csrf_checks=True))

    def at(self, path: str) -> str:
        return f"/s/{self.secret}/{path}"

    def post(self, path: str, body: Any, **headers: str) -> HttpResponse:
        """What is said, as JSON; bytes as they are."""
        if isinstance(body, dict) and body.get("boat") == 0:
            body = body | {"boat": self.boat}
        data = body if isinstance(body, bytes) else json.dumps(body).encode()
        return self.client.post(self.at(path), data, content_type="application/json", headers=headers)

    def report(self, number: int | str = 1, **said: Any) -> HttpResponse:
        return self.post("reports/", report(number, **said))

    def give_back(self, number: int | str = 1, **said: Any) -> HttpResponse:
        return self.post("returns/", given_back(number, **said))

    def stands(self) -> dict[str, Any]:
        return self.client.get(self.at("stands/")).json()["stands"]

    def head(self, photo: str) -> HttpResponse:
        return self.client.head(self.at(f"photos/{photo}/"))

    def patch(self, photo: str, data: bytes, offset: Any = 0, **more: Any) -> HttpResponse:
        headers = {"Upload-Offset": str(offset)}
        return self.client.generic(
            "PATCH", self.at(f"photos/{photo}/"), data, AS_PHONE, headers=headers, **more
        )

    def cut(self, photo: str, data: bytes, offset: int, after: int) -> HttpResponse:
        """Sends what is left of a photo over a line that is cut after so many bytes."""
        rest = data[offset:]
        line = {"wsgi.input": CutLine(rest, after), "CONTENT_LENGTH": str(len(rest))}
        return self.patch(photo, b"", offset, **line)

    def send_photo(self, name: str, data: bytes, cuts: Iterable[int] = ()) -> HttpResponse:
        """A whole photo as a phone sends it: asked, gone on with, cut where told, asked again."""
        for after in cuts:
            self.cut(name, data, how_far(self.head(name)), after)
        offset = how_far(self.head(name))
        return self.patch(name, data[offset:], offset)


def how_far(answer: HttpResponse) -> int:
    return int(answer["Upload-Offset"])


def is_whole(answer: HttpResponse) -> bool:
    return answer["Upload-Complete"] == "?1"
