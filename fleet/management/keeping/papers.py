"""The papers' files: which there are, whether each is what its name says, and putting them back."""

import re
from collections.abc import Iterator
from contextlib import suppress
from hashlib import file_digest
from pathlib import Path, PurePosixPath

from django.conf import settings
from django.core.management.base import CommandError

_DIGEST = re.compile(r"[0-9a-f]{64}")


def named(path: PurePosixPath | Path) -> str | None:
    """The digest a file is named for; None where it is no paper, but half of one or a stranger."""
    digest = path.name.partition(".")[0]
    return digest if _DIGEST.fullmatch(digest) else None


def files() -> Iterator[tuple[str, Path]]:
    """Every paper's file, by its name in a backup."""
    home = Path(settings.PAPERS)
    for path in sorted(home.rglob("*")) if home.is_dir() else ():
        if path.is_file() and named(path):
            yield f"papers/{path.relative_to(home).as_posix()}", path


def places(names: list[str]) -> dict[str, Path]:
    """Where each paper of a backup belongs; CommandError where one would lie elsewhere."""
    home = Path(settings.PAPERS)
    found = {}
    for name in names:
        inside = PurePosixPath(name).relative_to("papers")
        if inside.is_absolute() or ".." in inside.parts or named(inside) is None:
            raise CommandError(f"{name}: no name of a paper")
        found[name] = home / inside
    return found


def is_whole(path: Path) -> bool:
    """Whether a file is there and is what its name says."""
    with suppress(FileNotFoundError), path.open("rb") as file:
        return file_digest(file, "sha256").hexdigest() == named(path)
    return False


def settle(path: Path) -> None:
    """Gives a paper that was written beside its place its place."""
    beside(path).replace(path)


def beside(path: Path) -> Path:
    """Where a paper is written first: half of one never has a paper's name."""
    return path.with_name(f"_{path.name}")
