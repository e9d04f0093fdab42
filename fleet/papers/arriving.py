"""A file that comes in piece by piece, over days if need be: what has arrived is kept and built upon."""

import fcntl
import os
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path
from typing import IO

from django.conf import settings

from fleet.papers.refused import MEGABYTE
from fleet.refused import Refused

MOST_ARRIVING = 3000 * MEGABYTE  # bytes; beyond it a phone waits, and the disk stays free
GIVEN_UP = 30 * 24 * 3600  # seconds without a further piece; own choice: longer than any charter
HIDDEN = "."  # so that no backup takes it for a paper: after a restore the phone sends it once more


class NoRoomNow(Refused):
    """Too much is half here already; it may come later."""


class WrongOffset(Refused):
    """A piece that does not begin where the last one ended; `offset` says where that is."""

    def __init__(self, offset: int) -> None:
        self.offset = offset
        super().__init__(f"offset: wanted {offset}")


class TooLong(Refused):
    """More bytes than the file was said to have."""


def arrived(name: str) -> int:
    """How many bytes of a file are here."""
    try:
        return _place(name).stat().st_size
    except FileNotFoundError:
        return 0


def arrive(name: str, pieces: Iterable[bytes], *, offset: int, size: int) -> int:
    """Adds what comes in from `offset` on and answers how many bytes are here now.

    Each piece stays as it arrives, also where the line is cut after it. Two that send at once do not
    mix: the later one finds another offset. WrongOffset, TooLong, NoRoomNow.
    """
    with _held(name) as file:
        here = file.seek(0, os.SEEK_END)
        if here != offset:
            raise WrongOffset(here)
        for piece in pieces:
            if file.tell() + len(piece) > size:
                raise TooLong(f"photo: wanted {size} bytes, more came")
            file.write(piece)
            file.flush()
        os.fsync(file.fileno())
        return file.tell()


def whole(name: str) -> bytes:
    """Everything that is here; nothing where nothing is."""
    try:
        return _place(name).read_bytes()
    except FileNotFoundError:
        return b""


def leave(name: str) -> None:
    """Forgets what is here: it is kept elsewhere, is no photo, or is to come again."""
    _place(name).unlink(missing_ok=True)


@contextmanager
def _held(name: str) -> Iterator[IO[bytes]]:
    """The file, ours alone while a piece comes in."""
    place = _place(name)
    place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not place.exists() and _swept() > MOST_ARRIVING:
        raise NoRoomNow("photo: wanted a little later, too many are half here")
    with os.fdopen(os.open(place, os.O_RDWR | os.O_CREAT, 0o600), "r+b") as file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise WrongOffset(file.seek(0, os.SEEK_END)) from None
        yield file


def _home() -> Path:
    return Path(settings.PAPERS) / "arriving"


def _place(name: str) -> Path:
    return _home() / (HIDDEN + sha256(name.encode()).hexdigest())


def _swept() -> int:
    """How many bytes are half here, once those nobody sends any more are gone."""
    total = 0
    for file in _home().glob(f"{HIDDEN}*"):
        try:
            kept = file.stat()
            if time.time() - kept.st_mtime > GIVEN_UP:
                file.unlink()
            else:
                total += kept.st_size
        except FileNotFoundError:  # somebody else swept it
            continue
    return total
