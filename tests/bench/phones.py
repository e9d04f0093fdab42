"""Phones of our own over raw sockets: two tabs each, lines cut at any byte of what is asked or answered."""

import json
import socket
import struct
import time
from collections import Counter
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import partial
from hashlib import sha256
from random import Random
from typing import Any

from PIL import Image

from tests.papers import encoded, noted

CUT_IN = 0.6  # of what is asked: the others come through
MOST_GOES = 4
PIECES = (20_000, 131_072, 131_072)  # bytes sent at a time
FAST_ENOUGH = 120  # seconds a phone waits for one answer
RESET = struct.pack("ii", 1, 0)  # SO_LINGER of no seconds: the line is gone, not closed in order


@dataclass(frozen=True)
class Answer:
    """What came back whole: the status, the headers in small letters, the body."""

    status: int
    head: dict[str, str]
    body: bytes

    @property
    def offset(self) -> int:
        return int(self.head["upload-offset"])

    @property
    def is_whole(self) -> bool:
        return self.head["upload-complete"] == "?1"


@dataclass
class Line:
    """One tab's way to the server; the chance decides what is cut, and where."""

    port: int
    secret: str
    chance: Random
    cuts: Counter[str] = field(default_factory=Counter)
    answers: Counter[str] = field(default_factory=Counter)

    def ask(self, method: str, path: str, body: bytes = b"", **headers: object) -> Answer | None:
        """The whole answer, or None where the line was cut."""
        said = {"Host": "localhost", "Content-Length": len(body), "Connection": "close"} | headers
        head = "".join(f"{name.replace('_', '-')}: {value}\r\n" for name, value in said.items())
        asked = f"{method} /s/{self.secret}/{path} HTTP/1.1\r\n{head}\r\n".encode() + body
        came = self._over(asked)
        if came is None:
            return None
        answer = _read(came)
        self.answers[f"{method} {answer.status}"] += 1
        return answer

    def _over(self, asked: bytes) -> bytes | None:
        is_cut = self.chance.random() < CUT_IN
        in_request = is_cut and self.chance.random() < 0.5
        with socket.create_connection(("127.0.0.1", self.port), timeout=FAST_ENOUGH) as line:
            if is_cut and self.chance.random() < 0.5:
                line.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, RESET)
            if in_request:
                line.sendall(asked[: self.chance.randrange(len(asked))])
            else:
                line.sendall(asked)
                came = _receive(line, self.chance.randrange(300) if is_cut else None)
        if is_cut:
            self.cuts["of what was asked" if in_request else "of the answer"] += 1
        return None if is_cut else came


def _receive(line: socket.socket, most: int | None) -> bytes:
    came = b""
    while (most is None or len(came) < most) and (piece := line.recv(65_536 if most is None else most)):
        came += piece
    return came


def _read(came: bytes) -> Answer:
    """An answer as RFC 9112 has it; one that is not whole is a fault of the server, for nothing cut it."""
    head, _, body = came.partition(b"\r\n\r\n")
    first, *lines = head.decode().split("\r\n")
    named = {name.lower(): value.strip() for name, _, value in (line.partition(":") for line in lines)}
    status = int(first.split()[1])
    if "content-length" in named and status != 204:
        assert len(body) == int(named["content-length"]) or not body, came[:200]
    return Answer(status, named, body)


@dataclass
class Phone:
    """Reports kept on one phone and their photos, and the two tabs that send them."""

    number: int
    secret: str
    boat: int
    kit: str
    seed: int
    reports: list[dict] = field(default_factory=list)
    photos: dict[str, bytes] = field(default_factory=dict)
    goes: int = 0

    def write(self, how_many: int) -> None:
        """Taps so many reports, with a photo or two each, every other with a spare used."""
        chance = Random(f"{self.seed} phone {self.number}")
        for n in range(how_many):
            made = datetime.now(UTC).isoformat()
            photos = [self._photo(chance) for _ in range(chance.choice((1, 2)))]
            used = [{"kit": self.kit, "name": "Impeller", "quantity": "1"}] if n % 2 else []
            report = {"id": chance.randbytes(16).hex(), "made_at": made, "boat": self.boat, "photos": photos}
            report |= {"words": f"Report {n} of phone {self.number}: 水 🔧", "used": used}
            self.reports.append(report)

    def _photo(self, chance: Random) -> dict:
        """Noise of about 10 to 60 kB, some of it held sideways."""
        width, height = chance.randrange(110, 320), chance.randrange(110, 320)
        image = Image.frombytes("RGB", (width, height), chance.randbytes(width * height * 3))
        data = encoded(image, exif=noted(chance.choice((1, 3, 6, 8))).tobytes())
        name = chance.randbytes(16).hex()
        self.photos[name] = data
        return {"id": name, "size": len(data), "sha256": sha256(data).hexdigest()}

    def send_all(self, port: int) -> list[Line]:
        """Each report one to four times, in any order, by two tabs at once; each until all is whole."""
        chance = Random(f"{self.seed} goes {self.number}")
        goes = [report for report in self.reports for _ in range(chance.randrange(1, MOST_GOES + 1))]
        chance.shuffle(goes)
        self.goes = len(goes)
        lines = [Line(port, self.secret, Random(f"{self.seed} tab {self.number} {n}")) for n in (0, 1)]
        together([partial(self._tab, line, goes[n::2]) for n, line in enumerate(lines)])
        return lines

    def _tab(self, line: Line, reports: list[dict]) -> None:
        for report in reports:
            while (answer := self._words(line, report)) is None:
                continue
            told = json.loads(answer.body)["photos"]
            for photo in report["photos"]:
                if not told[photo["id"]]["whole"]:
                    self._send_photo(line, photo["id"], told[photo["id"]]["offset"])

    def _words(self, line: Line, report: dict) -> Answer | None:
        body = json.dumps(report | {"clock": datetime.now(UTC).isoformat()}).encode()
        answer = line.ask("POST", "reports/", body, Content_Type="application/json")
        if answer is not None:
            assert answer.status in (200, 201), answer
            assert json.loads(answer.body)["id"] == report["id"]
        return answer

    def _send_photo(self, line: Line, name: str, offset: int) -> None:
        """From where the base has it, in pieces; after a cut it is asked how far it is."""
        known: int | None = offset
        while True:
            if known is None:
                asked = line.ask("HEAD", f"photos/{name}/")
                if asked is None:
                    continue
                assert asked.status == 204, asked
                if asked.is_whole:
                    return
                known = asked.offset
            answer = self._piece(line, name, known)
            if answer is not None and answer.status == 204 and answer.is_whole:
                return
            known = None if answer is None else answer.offset

    def _piece(self, line: Line, name: str, offset: int) -> Answer | None:
        data = self.photos[name]
        end = min(len(data), offset + line.chance.choice(PIECES))
        answer = line.ask(
            "PATCH",
            f"photos/{name}/",
            data[offset:end],
            Upload_Offset=offset,
            Content_Type="application/partial-upload",
        )
        assert answer is None or answer.status in (204, 409), answer
        return answer


def send_all(phones: list[Phone], port: int) -> tuple[list[Line], float]:
    """All phones at once; what each line saw, and the seconds it took."""
    started = time.monotonic()
    lines = together([partial(phone.send_all, port) for phone in phones])
    return [line for of_phone in lines for line in of_phone], time.monotonic() - started


def together(acts: list[Callable[[], Any]]) -> list[Any]:
    """What each gives, all begun at once; what one dies of is raised."""
    with ThreadPoolExecutor(len(acts)) as pool:
        return [begun.result() for begun in [pool.submit(act) for act in acts]]
