"""What can be done with a paper: keep it, once, at a base."""

from datetime import datetime
from hashlib import sha256
from typing import Any
from zoneinfo import ZoneInfo

from fleet.bases.models import Base
from fleet.ledger import once
from fleet.papers.content import Clean, clean
from fleet.papers.models import Paper, PaperAt
from fleet.papers.store import write


def keep_paper(data: bytes, *, base: Base, at: datetime, by: Any = None) -> Paper:
    """Keeps a file once, by what it holds, and that it was handed in at this base; PaperRefused.

    Bytes as they came in are cleaned first, which takes a second: do that before a story begins,
    with `clean` or a form's field, because a story keeps others from writing. What `clean` made,
    and what is kept already, is taken as it is. The file is written before its row: a row without
    a file is a lost proof, a file without a row is a few bytes too many until it comes in again.
    """
    whole = _as_kept(data, ZoneInfo(base.timezone))
    name = sha256(whole).hexdigest()
    write(name, whole)
    known = Paper.objects.filter(sha256=name).first
    paper = once(known, lambda: _enter(name, whole, base, at, by))
    held = PaperAt.objects.filter(paper=paper, base=base).first
    once(held, lambda: PaperAt.objects.create(paper=paper, base=base, at=at, by=by))
    return paper


def _as_kept(data: bytes, zone: ZoneInfo) -> Clean:
    if isinstance(data, Clean):
        return data
    kept = Paper.objects.filter(sha256=sha256(data).hexdigest()).first()
    return Clean(data, kept.mime, kept.taken_at) if kept else clean(data)


def _enter(name: str, whole: Clean, base: Base, at: datetime, by: Any) -> Paper:
    taken = whole.taken_at
    if taken and not taken.tzinfo:
        taken = taken.replace(tzinfo=ZoneInfo(base.timezone))
    if taken and taken > at:
        taken = None  # the camera's clock is wrong, nobody knows by how much
    paper = Paper(sha256=name, mime=whole.mime, size=len(whole), taken_at=taken, by=by)
    paper.full_clean()
    paper.save()
    return paper
