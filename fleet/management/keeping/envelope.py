"""A backup as one file: a tar of the database and the papers, what it holds told last, and a seal.

`tar xf` takes it apart without this program. The manifest is the last member, so that a file cut
short has none; the seal after it is the digest of every byte before, padding too.
"""

import json
import tarfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import asdict, dataclass, field
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any, BinaryIO, Final, Self

from django.core.management.base import CommandError

FORMAT: Final = 1
MANIFEST: Final = "manifest.json"
PIECE: Final = 1 << 20
_MARK: Final = b"\nfettle-backup sha256 "
_SEAL: Final = len(_MARK) + 64 + 1


@dataclass(slots=True)
class Manifest:
    """What a backup holds: files by name, tables by name, and the program and time it is of."""

    made_at: str
    program: str
    database: str
    migrations: list[list[str]]
    tables: dict[str, dict[str, Any]]
    files: dict[str, dict[str, Any]] = field(default_factory=dict)
    format: int = FORMAT

    @classmethod
    def read(cls, text: bytes) -> Self:
        told = json.loads(text)
        if told["format"] > FORMAT:
            raise CommandError(f"a newer program made this backup (format {told['format']}); use that one")
        return cls(**told)

    @property
    def rows(self) -> int:
        return sum(table["rows"] for table in self.tables.values())

    @property
    def papers(self) -> list[str]:
        return [name for name in self.files if name.startswith("papers/")]


class Watched:
    """A file that keeps the digest and the count of what went through it."""

    def __init__(self, file: BinaryIO) -> None:
        self.file, self.digest, self.size = file, sha256(), 0

    def read(self, size: int = -1) -> bytes:
        return self._seen(self.file.read(size))

    def write(self, data: bytes) -> int:
        self._seen(data)
        return self.file.write(data)

    def _seen(self, data: bytes) -> bytes:
        self.digest.update(data)
        self.size += len(data)
        return data

    def told(self) -> dict[str, Any]:
        return {"size": self.size, "sha256": self.digest.hexdigest()}


@contextmanager
def written(file: BinaryIO, manifest: Manifest) -> Iterator["Packing"]:
    """Packs what is added inside, then the manifest, then the seal."""
    out = Watched(file)
    with tarfile.open(fileobj=out, mode="w|", format=tarfile.PAX_FORMAT) as tar:  # type: ignore[call-overload]
        packing = Packing(tar, manifest)
        yield packing
        packing.close()
    file.write(_MARK + out.digest.hexdigest().encode() + b"\n")


class Packing:
    """An envelope being filled."""

    def __init__(self, tar: tarfile.TarFile, manifest: Manifest) -> None:
        self.tar, self.manifest = tar, manifest

    def add(self, name: str, path: Path) -> str:
        """Puts a file in; its digest, as it was read."""
        with path.open("rb") as file:
            watched = Watched(file)
            entry = self.tar.gettarinfo(arcname=name, fileobj=file)
            entry.uid = entry.gid = 0
            entry.uname, entry.gname, entry.mode = "", "", 0o600
            self.tar.addfile(entry, watched)
        self.manifest.files[name] = watched.told()
        return watched.digest.hexdigest()

    def close(self) -> None:
        text = json.dumps(asdict(self.manifest), indent=1, ensure_ascii=False).encode()
        entry = tarfile.TarInfo(MANIFEST)
        entry.size, entry.mode = len(text), 0o600
        self.tar.addfile(entry, BytesIO(text))


def checked(path: Path) -> Manifest:
    """The manifest of a backup in which every byte is as it was made; CommandError where one is not."""
    try:
        with path.open("rb") as file:
            _refuse_broken_seal(file, path)
            return _manifest(file, path)
    except OSError as error:
        raise CommandError(f"{path}: cannot be read ({error.strerror or error})") from error
    except (tarfile.TarError, KeyError, TypeError, ValueError) as error:
        raise CommandError(f"{path}: not a backup of this program ({error})") from error


def _refuse_broken_seal(file: BinaryIO, path: Path) -> None:
    length = path.stat().st_size - _SEAL
    if length < 0:
        raise CommandError(f"{path}: not a backup, or cut short")
    watched = Watched(file)
    while watched.size < length and watched.read(min(PIECE, length - watched.size)):
        pass
    seal = file.read(_SEAL)
    if not seal.startswith(_MARK):
        raise CommandError(f"{path}: not a backup, or cut short")
    if seal != _MARK + watched.digest.hexdigest().encode() + b"\n":
        raise CommandError(f"{path}: damaged; it is not byte by byte what was made")


def _manifest(file: BinaryIO, path: Path) -> Manifest:
    """The manifest, once each file in the backup is one it tells of, and as it tells."""
    found, text = {}, b""
    for name, member in _members(file):
        if name == MANIFEST:
            text = member.read()
            continue
        watched = Watched(member)
        while watched.read(PIECE):
            pass
        found[name] = watched.told()
    manifest = Manifest.read(text)
    if found != manifest.files:
        names = sorted(n for n in found.keys() | manifest.files if found.get(n) != manifest.files.get(n))
        raise CommandError(f"{path}: {', '.join(names[:5])} differ from what the manifest tells")
    return manifest


def _members(file: BinaryIO) -> Iterator[tuple[str, BinaryIO]]:
    file.seek(0)
    with tarfile.open(fileobj=file, mode="r:") as tar:
        for entry in tar:
            content = tar.extractfile(entry)
            if content is None:
                raise CommandError(f"{entry.name}: wanted plain files only")
            yield entry.name, content  # type: ignore[misc]


def unpack(path: Path, manifest: Manifest, where: dict[str, Path]) -> None:
    """Writes files of a checked backup to the places given, each as the manifest tells."""
    with path.open("rb") as file:
        for name, member in _members(file):
            if name in where:
                _write(member, where[name])
                if _digest(where[name]) != manifest.files[name]["sha256"]:
                    raise CommandError(f"{path}: {name} was not read as it was made")


def _write(member: BinaryIO, to: Path) -> None:
    with to.open("wb") as out:
        while piece := member.read(PIECE):
            out.write(piece)


def _digest(path: Path) -> str:
    with path.open("rb") as file:
        watched = Watched(file)
        while watched.read(PIECE):
            pass
    return watched.digest.hexdigest()
