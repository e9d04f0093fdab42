"""Photos that follow what a phone sent: where each has got to, and keeping it once it is whole."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.facts import base_of
from fleet.boats.models import Boat
from fleet.charters.models import Link
from fleet.ledger import latest
from fleet.meters.models import Reading
from fleet.papers.actions import keep_paper
from fleet.papers.arriving import Arriving, TooLong, WrongOffset, no_room_where_full
from fleet.papers.content import Clean, PaperRefused, clean
from fleet.papers.models import Paper
from maintenance.defects.models import Defect, DefectPaper
from maintenance.turnaround.models import (
    LinkDefectPhoto,
    LinkReturnPhoto,
    PhotoToCome,
    Return,
    ReturnReading,
)

REFUSED_LENGTH = 200

Row = LinkDefectPhoto | LinkReturnPhoto


@dataclass(frozen=True, slots=True)
class Got:
    """How far a photo has got: bytes here, whether it needs no more, and why it was refused."""

    offset: int
    size: int
    is_whole: bool
    refused: str = ""


def expected(link: Link, photo_id: str) -> Row | None:
    """The photo that was announced by a link with a report or a return; None where none was."""
    of = {"came__link__charter": link.charter_id, "photo_id": photo_id}
    reported = LinkDefectPhoto.objects.filter(**of).select_related("came__defect__boat").first()
    return reported or LinkReturnPhoto.objects.filter(**of).select_related("came__filed__boat").first()


def to_come(kept: Defect | Return) -> list[Row]:
    """The photos that were announced with a report or a return, in their order."""
    return list(kept.came_by.photos.all())


def photos_of_returns(filed: Collection[int]) -> dict[int, list[str]]:
    """The names (sha256) of the photos that came with each return, in their order; one query."""
    found: dict[int, list[str]] = {pk: [] for pk in filed}
    rows = LinkReturnPhoto.objects.filter(came__filed__in=found, paper__isnull=False).order_by("number")
    for pk, name in rows.values_list("came__filed", "paper__sha256"):
        found[pk].append(name)
    return found


def photos_of_dials(readings: Collection[Reading]) -> dict[int, list[Paper]]:
    """The photos of the dial that came with the return each reading was first said in; two queries, and
    one for each time one was corrected."""
    first = {_first(row).pk: row.pk for row in readings}
    said = ReturnReading.objects.filter(reading__in=first).select_related("reading")
    of_dial = {(row.filed_id, row.reading.meter_id): first[row.reading_id] for row in said}
    rows = LinkReturnPhoto.objects.filter(came__filed__in={filed for filed, _ in of_dial})
    found: dict[int, list[Paper]] = {}
    for row in rows.filter(paper__isnull=False).select_related("paper", "came"):
        if row.paper and (reading := of_dial.get((row.came.filed_id, row.meter_id or 0))):
            found.setdefault(reading, []).append(row.paper)
    return found


def _first(row: Any) -> Reading:
    while row.replaces is not None:
        row = row.replaces
    first: Reading = row
    return first


def got(row: PhotoToCome) -> Got:
    """Where a photo stands."""
    done = row.paper_id is not None or bool(row.refused)
    return Got(row.size if done else _file(row).here, row.size, done, row.refused)


def take_piece(row: Row, pieces: Iterable[bytes], *, offset: int, at: datetime) -> Got:
    """Adds what comes in of a photo; once all of it is here it is looked at and kept, or refused.

    WrongOffset where another piece is wanted, from the start where the whole is not what the phone
    said it would be; TooLong where more came than was announced, which refuses it; NoRoomNow.
    """
    if (known := got(row)).is_whole:
        return known
    try:
        here = _file(row).add(pieces, offset=offset)
    except TooLong as long:
        _refuse(row, long.wanted)
        raise
    return _take_whole(row, at) if here == row.size else _read_anew(row)


def _take_whole(row: Row, at: datetime) -> Got:
    data = _file(row).whole()
    if len(data) < row.size:
        return _read_anew(row)  # another connection was the first to have all of it
    if row.sha256 and (came := sha256(data).hexdigest()) != row.sha256:
        _refuse_unless_again(row, came)
    try:
        photo = clean(data, ZoneInfo(base_of(_boat(row), at.date()).timezone))
    except PaperRefused as refused:
        return _refuse(row, refused.wanted)
    with no_room_where_full():
        _keep(row, photo, at)
    return _read_anew(row)


def _refuse_unless_again(row: Row, digest: str) -> None:
    """Begins again with a photo that is not what was said. Where it comes just so once more the phone
    has no other, and what it said was wrong."""
    if _last_time(row).whole() == digest.encode():
        return
    _last_time(row).leave()
    _last_time(row).add([digest.encode()], offset=0)
    _file(row).leave()
    raise WrongOffset(0)


@transaction.atomic
def _keep(row: Row, photo: Clean, at: datetime) -> None:
    take_turn()
    ours = type(row)._default_manager.get(pk=row.pk)
    if ours.paper_id is None and not ours.refused:
        ours.paper = keep_paper(photo, base=base_of(_boat(row), at.date()), at=at, by=None)
        ours.save(update_fields=["paper"])
    if isinstance(row, LinkDefectPhoto) and ours.paper_id is not None:
        _put_to_report(Defect.objects.get(pk=row.came.defect_id), ours.paper_id)


def _put_to_report(first: Defect, paper: int) -> None:
    """Photos stay with the report as it first came in, and go with it where it was moved to another boat."""
    for case in sorted({first.pk, latest(first).case}):
        DefectPaper.objects.get_or_create(defect_id=case, paper_id=paper)


@transaction.atomic
def _refuse(row: Row, why: str) -> Got:
    """The words stay kept; what came beside them is no photo, and both sides know why."""
    take_turn()
    ours = type(row)._default_manager.filter(pk=row.pk, paper__isnull=True, refused="")
    ours.update(refused=why[:REFUSED_LENGTH])
    return _read_anew(row)


def _read_anew(row: Row) -> Got:
    """Where a photo stands now; what another connection brought after it was whole is left again."""
    row.refresh_from_db(fields=["paper", "refused"])
    if (now := got(row)).is_whole:
        _file(row).leave()
        _last_time(row).leave()
    return now


def _boat(row: Row) -> Boat:
    boat: Boat = row.came.defect.boat if isinstance(row, LinkDefectPhoto) else row.came.filed.boat
    return boat


def _file(row: PhotoToCome) -> Arriving:
    return Arriving(_name(row), row.size)


def _last_time(row: PhotoToCome) -> Arriving:
    """What the whole came as the last time it was not what was said."""
    return Arriving(f"{_name(row)}:last time", sha256().digest_size * 2)


def _name(row: PhotoToCome) -> str:
    """By the phone's own id too: after a restore a row's number may be another photo's."""
    return f"{type(row).__name__}:{row.pk}:{row.photo_id}"
