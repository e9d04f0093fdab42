"""A backup made: one file, whole under its name or not there, beside those made before."""

import os
import re
import shutil
import signal
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from tempfile import mkdtemp
from typing import Any, Final

from django.core.management.base import CommandError

from fleet.management.keeping import envelope, papers
from fleet.management.keeping.which import database

_OURS: Final = re.compile(r"fettle-\d{8}T\d{6}Z\.tar")
_UNFINISHED: Final = ".unfinished-backup-"
_A_DAY: Final = 24 * 3600


@dataclass(frozen=True, slots=True)
class Made:
    """A backup that is there now, and the papers that are not what their names say."""

    path: Path
    size: int
    manifest: envelope.Manifest
    damaged: list[str]


def target(given: Path, at: datetime, start: str = "fettle") -> Path:
    """The file to make: the one named, or one named for the moment in a folder that is there."""
    path = given / f"{start}-{at:%Y%m%dT%H%M%SZ}.tar" if given.is_dir() else given
    _refuse_taken(path)
    if not path.parent.is_dir():
        raise CommandError(f"{path.parent}: there is no such folder")
    return path


def _refuse_taken(path: Path) -> None:
    if path.exists() or path.is_symlink():
        raise CommandError(f"{path}: is there already; a backup replaces nothing")


def make(path: Path, *, at: datetime) -> Made:
    """Copies the database and every paper into one file. It has its name only once it is whole."""
    with _unfinished(path.parent) as folder:
        part = folder / "backup"
        manifest, damaged = _fill(part, folder, at)
        _give_name(part, path)
    return Made(path, path.stat().st_size, manifest, damaged)


def _fill(part: Path, folder: Path, at: datetime) -> tuple[envelope.Manifest, list[str]]:
    """The database first: a paper lies in its place before a row names it."""
    kept = database()
    with kept.copied(folder) as (copy, tables, migrations), _opened(part) as file:
        manifest = envelope.Manifest(at.isoformat(), _version(), kept.KIND, migrations, tables)
        with envelope.written(file, manifest) as packing:
            packing.add(kept.FILE, copy)
            damaged = [name for name, path in papers.files() if packing.add(name, path) != papers.named(path)]
    return manifest, damaged


def _version() -> str:
    with suppress(PackageNotFoundError):
        return version("fettle")
    return "unknown"


@contextmanager
def _opened(part: Path) -> Iterator[Any]:
    """A new file for its owner's eyes only, on the disk before it is closed."""
    with os.fdopen(os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        yield file
        file.flush()
        os.fsync(file.fileno())


def _give_name(part: Path, path: Path) -> None:
    """Gives a whole file its name; never that of another that came meanwhile."""
    try:
        os.link(part, path)
    except FileExistsError as error:
        raise CommandError(f"{path}: is there already; a backup replaces nothing") from error
    except OSError:  # a disk without hard links, as most sticks are
        _refuse_taken(path)
        part.rename(path)
    folder = os.open(path.parent, os.O_RDONLY)
    try:
        os.fsync(folder)
    finally:
        os.close(folder)


@contextmanager
def _unfinished(parent: Path) -> Iterator[Path]:
    """A folder beside the backup for what is under way, gone in the end, also when told to stop."""
    _clear(parent)
    try:
        folder = Path(mkdtemp(prefix=_UNFINISHED, dir=parent))
    except OSError as error:
        raise CommandError(f"{parent}: cannot be written to ({error.strerror})") from error
    before = signal.signal(signal.SIGTERM, lambda *_: sys.exit(143))
    try:
        yield folder
    except OSError as error:
        raise CommandError(f"no backup was made: {error}") from error
    finally:
        signal.signal(signal.SIGTERM, before)
        shutil.rmtree(folder, ignore_errors=True)


def _clear(parent: Path) -> None:
    """What a backup that was killed outright left behind, a day ago or longer."""
    for folder in parent.glob(f"{_UNFINISHED}*"):
        with suppress(FileNotFoundError):
            if time.time() - folder.stat().st_mtime > _A_DAY:
                shutil.rmtree(folder, ignore_errors=True)


def let_go(folder: Path, keep: int) -> list[Path]:
    """Deletes the oldest of the backups named for their moment, all but the latest so many."""
    ours = sorted(path for path in folder.iterdir() if _OURS.fullmatch(path.name) and path.is_file())
    old = ours[:-keep]
    for path in old:
        path.unlink()
    return old
