"""Photos that follow what a phone sent: where each has got to, and keeping it once it is whole."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.boats.facts import base_of
from fleet.boats.models import Boat
from fleet.charters.models import Link
from fleet.papers.actions import keep_paper
from fleet.papers.arriving import arrive, arrived, leave, whole
from fleet.papers.content import PaperRefused, clean
from fleet.papers.refused import MEGABYTE, MOST_BYTES
from maintenance.defects.models import Defect, DefectPaper
from maintenance.turnaround.models import LinkDefectPhoto, LinkReturnPhoto, PhotoToCome, Return

REFUSED_LENGTH = 200


@dataclass(frozen=True, slots=True)
class Got:
    """How far a photo has got: bytes here, whether it needs no more, and why it was refused."""

    offset: int
    size: int
    is_whole: bool
    refused: str = ""


def expected(link: Link, photo_id: str) -> LinkDefectPhoto | LinkReturnPhoto | None:
    """The photo that was announced by a link with a report or a return; None where none was."""
    of = {"came__link__charter": link.charter_id, "photo_id": photo_id}
    reported = LinkDefectPhoto.objects.filter(**of).select_related("came__defect__boat").first()
    return reported or LinkReturnPhoto.objects.filter(**of).select_related("came__filed__boat").first()


def to_come(kept: Defect | Return) -> list[PhotoToCome]:
    """The photos that were announced with a report or a return, in their order."""
    came = kept.came_by
    return list(came.photos.all())


def got(row: PhotoToCome) -> Got:
    """Where a photo stands."""
    done = row.paper_id is not None or bool(row.refused)
    return Got(row.size if done else arrived(_name(row)), row.size, done, row.refused)


def take_piece(
    row: LinkDefectPhoto | LinkReturnPhoto, pieces: Iterable[bytes], *, offset: int, at: datetime
) -> Got:
    """Adds what comes in of a photo; once all of it is here it is looked at and kept, or refused.

    WrongOffset where another piece is wanted, also from the start where the whole is not what the
    phone said it would be; TooLong, NoRoomNow.
    """
    if (known := got(row)).is_whole:
        return known
    if row.size > MOST_BYTES:
        return _refuse(row, f"wanted at most {MOST_BYTES // MEGABYTE} MB, found more")
    here = arrive(_name(row), pieces, offset=offset, size=row.size)
    return got(row) if here < row.size else _take_whole(row, at)


def _take_whole(row: LinkDefectPhoto | LinkReturnPhoto, at: datetime) -> Got:
    data = whole(_name(row))
    if row.sha256 and sha256(data).hexdigest() != row.sha256:
        leave(_name(row))
        return got(row)  # the phone sees that nothing is here and begins again
    boat = _boat(row)
    base = base_of(boat, at.date())
    try:
        photo = clean(data, ZoneInfo(base.timezone))
    except PaperRefused as refused:
        return _refuse(row, refused.wanted)
    with transaction.atomic():
        row.paper = keep_paper(photo, base=base, at=at, by=None)
        row.save(update_fields=["paper"])
        if isinstance(row, LinkDefectPhoto):
            DefectPaper.objects.get_or_create(defect=row.came.defect, paper=row.paper)
    leave(_name(row))
    return got(row)


def _refuse(row: PhotoToCome, why: str) -> Got:
    """The words stay kept; what came beside them is no photo, and both sides know why."""
    row.refused = why[:REFUSED_LENGTH]
    row.save(update_fields=["refused"])
    leave(_name(row))
    return got(row)


def _boat(row: LinkDefectPhoto | LinkReturnPhoto) -> Boat:
    boat: Boat = row.came.defect.boat if isinstance(row, LinkDefectPhoto) else row.came.filed.boat
    return boat


def _name(row: PhotoToCome) -> str:
    return f"{type(row).__name__}:{row.pk}"
