"""A file that comes in piece by piece, over days if need be: what has arrived is kept and built upon."""

import errno
import fcntl
import os
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import IO

from django.conf import settings

from fleet.papers.refused import MEGABYTE
from fleet.refused import Refused

MOST_ARRIVING = 3000 * MEGABYTE  # bytes announced; beyond it a phone waits, and the disk stays free
GIVEN_UP = 30 * 24 * 3600  # seconds without a further piece; own choice: longer than any charter
HIDDEN = "."  # so that no backup takes it for a paper: after a restore the phone sends it once more
FULL = (errno.ENOSPC, errno.EDQUOT)


class NoRoomNow(Refused):
    """Too much is half here already, or the disk is full; it may come later."""


class WrongOffset(Refused):
    """A piece that does not begin where the last one ended; `offset` says where that is."""

    def __init__(self, offset: int) -> None:
        self.offset = offset
        super().__init__(f"offset: wanted {offset}")


class TooLong(Refused):
    """More bytes than the file was said to have."""


@dataclass(frozen=True, slots=True)
class Arriving:
    """One file on its way: a `name` no other has, and its `size` in bytes as it was announced."""

    name: str
    size: int

    @property
    def here(self) -> int:
        """How many bytes of it are here."""
        try:
            return self._place.stat().st_size
        except FileNotFoundError:
            return 0

    def add(self, pieces: Iterable[bytes], *, offset: int) -> int:
        """Adds what comes in from `offset` on and answers how many bytes are here now.

        Each piece stays as it arrived, also where the line is cut after it. Nothing is held while
        the line is waited for: one that died hinders nobody, and where another went on with the file
        meanwhile this one finds another offset. WrongOffset, TooLong, NoRoomNow.
        """
        self._refuse_without_room()
        if (here := self.here) != offset:
            raise WrongOffset(here)
        with no_room_where_full():
            for piece in pieces:
                here = self._append(piece, here)
            if here > offset:
                self._settle()
        return here

    def whole(self) -> bytes:
        """Everything that is here; nothing where nothing is."""
        try:
            return self._place.read_bytes()
        except FileNotFoundError:
            return b""

    def leave(self) -> None:
        """Forgets what is here: it is kept elsewhere, is no photo, or is to come again."""
        if self._place.exists():
            with self._held():
                self._place.unlink(missing_ok=True)

    def _append(self, piece: bytes, here: int) -> int:
        with self._held() as file:
            if (end := file.seek(0, os.SEEK_END)) != here:
                raise WrongOffset(end)
            if here + len(piece) > self.size:
                raise TooLong(f"photo: wanted {self.size} bytes, more came")
            file.write(piece)
        return here + len(piece)

    def _settle(self) -> None:
        """Makes what came survive a power cut; gone already where another connection ended the file."""
        with suppress(FileNotFoundError), self._place.open("rb") as file:
            os.fsync(file.fileno())

    @contextmanager
    def _held(self) -> Iterator[IO[bytes]]:
        """The file, ours alone for as long as a piece is written."""
        file = self._locked()
        while os.fstat(file.fileno()).st_nlink == 0:  # it was left between our opening and locking it
            file.close()
            file = self._locked()
        with file:
            yield file

    def _locked(self) -> IO[bytes]:
        self._place.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        file = os.fdopen(os.open(self._place, os.O_RDWR | os.O_CREAT, 0o600), "r+b")
        fcntl.flock(file, fcntl.LOCK_EX)  # let go where the file is closed, after the last byte is written
        return file

    def _refuse_without_room(self) -> None:
        """A file begun has its room; one that is new needs all it was announced with."""
        if not self._place.exists() and _announced() + self.size > MOST_ARRIVING:
            raise NoRoomNow("photo: wanted a little later, too many are half here")

    @property
    def _place(self) -> Path:
        return _home() / f"{HIDDEN}{sha256(self.name.encode()).hexdigest()}-{self.size}"


@contextmanager
def no_room_where_full() -> Iterator[None]:
    """NoRoomNow where the disk has no room for what is written inside."""
    try:
        yield
    except OSError as failed:
        if failed.errno not in FULL:
            raise
        raise NoRoomNow("photo: wanted a little later, the disk is full") from failed


def _home() -> Path:
    return Path(settings.PAPERS) / "arriving"


def _announced() -> int:
    """How many bytes the files half here will have, once those nobody sends any more are gone."""
    total = 0
    for file in _home().glob(f"{HIDDEN}*"):
        try:
            if time.time() - file.stat().st_mtime > GIVEN_UP:
                file.unlink()
            else:
                total += int(file.name.rpartition("-")[2])
        except FileNotFoundError:  # somebody else swept it, or its last piece came
            continue
    return total
