"""A photo that came in well with a form that must be sent again: it waits, for a day, without a row.

A browser cannot put a file back into a form. So the file waits here and the form carries a signed
note of it: whoever can show the note has handed the file in, and need not send it twice.
"""

import time
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from django.core import signing

from fleet.papers.content import Clean
from fleet.papers.refused import MEGABYTE
from fleet.papers.store import put

SALT = "fleet.pages.waiting"
A_DAY = 24 * 3600
MOST_WAITING = 1000 * MEGABYTE  # bytes; beyond it a file is sent once more, and the disk stays free


@dataclass(frozen=True, slots=True)
class Waiting:
    """One file that waits; `note` is what the form carries."""

    name: str
    note: str


def let_wait(paper: Clean, name: str) -> Waiting | None:
    """A note of a file that may be asked for again within a day; None where too many wait already."""
    digest = sha256(paper).hexdigest()
    if not _place(digest).exists():
        if _swept() + len(paper) > MOST_WAITING:
            return None
        put(_place(digest), paper)
    taken = paper.taken_at.isoformat() if paper.taken_at else None
    return Waiting(name, signing.dumps([digest, paper.mime, taken, name], salt=SALT))


def still_waiting(note: str) -> tuple[Waiting, Clean] | None:
    """The file of a note; None where the note is not ours, is a day old, or its file is gone."""
    try:
        digest, mime, taken, name = signing.loads(note, salt=SALT, max_age=A_DAY)
        data = _place(digest).read_bytes()
    except (signing.BadSignature, FileNotFoundError):
        return None
    return Waiting(name, note), Clean(data, mime, datetime.fromisoformat(taken) if taken else None)


def _home() -> Path:
    return Path(settings.PAPERS) / "waiting"


def _place(digest: str) -> Path:
    return _home() / f".{digest}"  # hidden, so that no backup takes it for a paper


def _swept() -> int:
    """How many bytes wait, once those that waited too long are gone."""
    total = 0
    for file in _home().glob(".*"):
        try:
            kept = file.stat()
            if time.time() - kept.st_mtime > A_DAY + 60:
                file.unlink()
            else:
                total += kept.st_size
        except FileNotFoundError:  # somebody else swept it
            continue
    return total
