"""Where papers lie: one file each under settings.PAPERS, named for what it holds."""

import os
from hashlib import sha256
from pathlib import Path
from tempfile import NamedTemporaryFile

from django.conf import settings

HALF_WRITTEN = ".half-"  # what a power cut left: never a paper, and may be removed at any time


def place_of(name: str) -> Path:
    """The file of a paper; its name is the SHA-256 of its bytes in hexadecimal."""
    return Path(settings.PAPERS) / name[:2] / name


def write(name: str, data: bytes) -> None:
    """Keeps a paper whole or not at all. A whole file is left alone, a damaged one is replaced."""
    if not is_whole(name):
        put(place_of(name), data)


def put(place: Path, data: bytes) -> None:
    """Writes a file that only we may read, in one step and to stay."""
    place.parent.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    place.parent.mkdir(mode=0o700, exist_ok=True)
    with NamedTemporaryFile(dir=place.parent, prefix=HALF_WRITTEN, delete=False) as half:
        try:
            half.write(data)
            half.flush()
            os.fsync(half.fileno())
            Path(half.name).replace(place)
        except BaseException:
            Path(half.name).unlink(missing_ok=True)
            raise
    _settle(place.parent)


def read(name: str) -> bytes:
    """The bytes of a paper; FileNotFoundError where its file is gone."""
    return place_of(name).read_bytes()


def is_whole(name: str) -> bool:
    """Whether the file is there and holds what its name says."""
    try:
        return sha256(read(name)).hexdigest() == name
    except FileNotFoundError:
        return False


def _settle(folder: Path) -> None:
    """Makes the new name survive a power cut, and the folder's own."""
    for each in (folder, folder.parent):
        handle = os.open(each, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
