"""The address of a file of ours says what is in it, so that no copy of an older one is taken for it."""

from base64 import b64encode
from functools import cache
from hashlib import sha256
from pathlib import Path

from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import StaticFilesStorage


class ByContent(StaticFilesStorage):
    """`{% static %}` with the first letters of the content's hash behind it; no collecting step."""

    def url(self, name: str | None) -> str:
        address = super().url(name)
        file = found(name or "")
        return f"{address}?v={digest_of(file).hex()[:8]}" if file else address


@cache
def found(name: str) -> Path | None:
    """Where a file of ours lies; None for one that is not there."""
    path = finders.find(name)
    return Path(path) if isinstance(path, str) else None


def digest_of(file: Path) -> bytes:
    """The SHA-256 of a file as it lies there now, read again only when it changed."""
    return _digest(file, file.stat().st_mtime_ns)


def integrity_of(file: Path) -> str:
    """The same as a browser checks it."""
    return integrity(digest_of(file))


def integrity(digest: bytes) -> str:
    """A SHA-256 as a browser checks it (W3C, Subresource Integrity)."""
    return "sha256-" + b64encode(digest).decode()


@cache
def _digest(file: Path, changed: int) -> bytes:
    return sha256(file.read_bytes()).digest()
