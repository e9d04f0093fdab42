"""What a phone kept and sends when it can: taken once, whenever it comes, and flagged where it is odd."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from enum import StrEnum
from hashlib import sha256
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.bases.turns import take_turn
from fleet.boats.facts import base_of
from fleet.boats.models import Boat, Meter
from fleet.charters.links import State, state_of
from fleet.charters.models import Charter, Link
from fleet.charters.rules import has_gone
from fleet.ledger import once
from fleet.papers.refused import MEGABYTE, MOST_BYTES
from fleet.refused import Refused
from maintenance.defects.models import Defect
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.by_link import Told, keep_report, refuse_told
from maintenance.turnaround.let_in import (
    MOST_AN_HOUR,
    MOST_PHOTOS,
    MOST_WITH_DANGER,
    let_in,
    refuse_too_many,
    report_known,
    return_known,
)
from maintenance.turnaround.models import (
    Handover,
    LinkDefect,
    LinkDefectPhoto,
    LinkReturn,
    LinkReturnPhoto,
    Return,
)

CLOCK_MAY_BE_OFF = timedelta(minutes=10)  # own choice: more is said to the base
MOST_PHOTO_ID = 64


class Odd(StrEnum):
    """What the base is to look at before it takes a report as it stands."""

    WRONG_BOAT = "another boat than the charter has"
    CHANGED = "the charter has another boat now"
    AFTER_HANDOVER = "came after the next handover"
    CALLED_OFF = "the charter was called off"
    ENDED = "the link had ended"
    EARLY = "came before the charter began"
    CLOCK = "the phone’s clock was wrong"
    NOT_ABOARD = "something chosen is not aboard any more"
    NO_NUMBER = "a number that cannot be read"


class PhoneRefused(Refused):
    """What a phone sent is not as agreed; `field` names what to put right."""


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo that is to follow, as the phone tells it; `size` in bytes. `meter`: it is of that dial."""

    photo_id: str
    size: int
    sha256: str = ""
    meter: Meter | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """How the phone kept it: its own clock when it was written and when it is sent (None where that
    was no moment), the photos to follow, and what the door found odd already."""

    client_id: str
    made_at: datetime | None
    clock: datetime | None
    photos: Sequence[Photo] = ()
    odd: tuple[Odd, ...] = ()

    @property
    def ago(self) -> timedelta | None:
        """How long ago it was written by the phone's own clock; negative where that was set back."""
        return self.clock - self.made_at if self.clock and self.made_at else None


@transaction.atomic
def report_by_phone(link: Link, boat: Boat, told: Told, kept: Kept, *, at: datetime) -> Defect:
    """Keeps a report that a phone sends, once, however often and late it comes.

    It is found when it was written, reckoned back by the phone's own clock. LinkClosed where the base
    closed the link, TooManyForNow, NotByLink, PhoneRefused; nothing else is in its way.
    """
    kept = _by_itself(link, told, kept)

    def keep() -> Defect:
        ours = let_in(link, "report a defect", at=at, late=True)
        refuse_told(boat, told)
        refuse_photos(ours.charter, kept.photos)
        refuse_too_many(ours, at=at, most=MOST_WITH_DANGER if told.risk_now else MOST_AN_HOUR)
        found_at = written_at(kept, ours, at)
        defect = keep_report(ours, boat, replace(told, found_at=found_at), at, kept.client_id)
        _note(defect.came_by, boat, kept, at)
        return defect

    defect = once(lambda: report_known(link, kept.client_id), keep)
    _expect(defect.came_by, link.charter, kept.photos)
    return defect


def _by_itself(link: Link, told: Told, kept: Kept) -> Kept:
    """The same, or an id of its own where other words came under this one: two tabs that began from one
    draft may each have written something, and neither swallows the other."""
    known = report_known(link, kept.client_id)
    if known is None or known.words == told.words or known.words.startswith(f"{told.words}\n\n"):
        return kept
    there = LinkDefectPhoto.objects.filter(came=known.came_by).values_list("photo_id", flat=True)
    photos = [photo for photo in kept.photos if photo.photo_id not in set(there)]
    own = sha256(f"{kept.client_id}\n{told.words}".encode()).hexdigest()
    return replace(kept, client_id=own, photos=photos)


@transaction.atomic
def return_by_phone(link: Link, boat: Boat, report: Report, kept: Kept, *, at: datetime) -> Return:
    """Keeps a return that a phone sends, once, as `report_by_phone` does; its day is the one it was
    written on, within the charter; one of a charter that has not begun is of the boat alone."""

    def keep() -> Return:
        ours = let_in(link, "record a return", at=at, late=True)
        refuse_photos(ours.charter, kept.photos)
        refuse_too_many(ours, at=at)
        charter, day = _charter_and_day(ours, boat, kept, at)
        told = replace(report, day=day, filed_by=Return.FiledBy.SKIPPER)
        filed = file_return(boat, charter, told, at=at, client_id=kept.client_id)
        came = LinkReturn.objects.create(link=ours, filed=filed)
        _note(came, boat, kept, at, *([Odd.EARLY] if charter is None else []))
        return filed

    filed = once(lambda: return_known(link, kept.client_id), keep)
    _expect(filed.came_by, link.charter, kept.photos)
    return filed


def written_at(kept: Kept, link: Link, at: datetime) -> datetime:
    """When it was written by our clock: as long ago as the phone's clock says; not before the link was
    made, for there was nothing to write it with, and not to come."""
    longest = at - min(link.made_at, at)
    return at - min(max(kept.ago or timedelta(0), timedelta(0)), longest)


def _charter_and_day(link: Link, boat: Boat, kept: Kept, at: datetime) -> tuple[Charter | None, date]:
    """The day a return is of: the one it was written on, within the charter. One that has not begun
    has no day of a return yet."""
    charter, base = link.charter, base_of(boat, at.date())
    day = base.day_of(written_at(kept, link, at))
    if base.day_of(at) < charter.starts_on:
        return None, day
    return charter, max(min(charter.ends_on, day), charter.starts_on)


def refuse_photos(charter: Charter, photos: Sequence[Photo]) -> None:
    """PhoneRefused where more photos are announced than may come, or one has an id that is taken."""
    names = [photo.photo_id for photo in photos]
    if len(photos) > MOST_PHOTOS:
        raise PhoneRefused(f"photos: wanted at most {MOST_PHOTOS}")
    if len(set(names)) < len(names) or not all(0 < len(name) <= MOST_PHOTO_ID for name in names):
        raise PhoneRefused("photos: wanted an id of its own for each")
    if any(photo.size <= 0 for photo in photos):
        raise PhoneRefused("photos: wanted the size of each in bytes")
    if _ids_taken(charter, names):
        raise PhoneRefused("photos: wanted an id of its own for each")


def _ids_taken(charter: Charter, names: Sequence[str]) -> set[str]:
    """Those of these ids that photos of the charter's reports and returns have already."""
    rows = [model.objects.filter(came__link__charter=charter) for model in (LinkDefectPhoto, LinkReturnPhoto)]
    found = [row.filter(photo_id__in=names).values_list("photo_id", flat=True) for row in rows]
    return {name for names in found for name in names}


def _note(came: LinkDefect | LinkReturn, boat: Boat, kept: Kept, at: datetime, *more: Odd) -> None:
    """How it came, and what is odd about it."""
    odd = [*kept.odd, *more, *_odd(came.link, boat, at), *_of_clock(kept, came.link, at)]
    came.clock_off = round((kept.clock - at).total_seconds()) if kept.clock else None
    came.odd = list(dict.fromkeys(odd))
    came.save()


def _of_clock(kept: Kept, link: Link, at: datetime) -> list[Odd]:
    """The phone's clock where it told the wrong time when it was sent, or cannot have told the right
    one when it was written."""
    if kept.clock is None or kept.ago is None:
        return [Odd.CLOCK]
    longest = at - min(link.made_at, at)
    beyond = max(abs(kept.clock - at), -kept.ago, kept.ago - longest)
    return [Odd.CLOCK] if beyond > CLOCK_MAY_BE_OFF else []


def _odd(link: Link, boat: Boat, at: datetime) -> list[Odd]:
    charter, state = link.charter, state_of(link, at=at)
    found = [
        (state is State.CANCELLED, Odd.CALLED_OFF),
        (state is State.ENDED, Odd.ENDED),
        (boat.pk != charter.boat_id, Odd.CHANGED),
        (_handed_over_since(charter, boat, at), Odd.AFTER_HANDOVER),
    ]
    return [odd for is_so, odd in found if is_so]


def _handed_over_since(charter: Charter, boat: Boat, at: datetime) -> bool:
    """Whether the boat was given to a later charter by now, or has gone out on one by the book."""
    if charter.boat_id != boat.pk:
        return False
    later = Charter.objects.booked().filter(boat=boat, starts_on__gte=charter.ends_on).exclude(pk=charter.pk)
    if Handover.objects.standing().filter(boat=boat, charter__in=later, recorded_at__lte=at).exists():
        return True
    local = at.astimezone(ZoneInfo(base_of(boat, at.date()).timezone)).replace(tzinfo=None)
    gone = later.filter(starts_on__lte=local.date())
    return any(has_gone(c.starts_on, c.leaves_at, local) for c in gone)


def _expect(came: LinkDefect | LinkReturn, charter: Charter, photos: Sequence[Photo]) -> None:
    """Waits for the photos announced, also for those another tab adds to what was sent already, as
    many as may come. One that is too big is refused before a byte of it is sent."""
    take_turn()
    named = {photo.photo_id: photo for photo in photos if photo.size > 0}
    taken, before = _ids_taken(charter, list(named)), came.photos.count()
    fresh = [photo for name, photo in named.items() if name not in taken]
    for number, photo in enumerate(fresh[: max(0, MOST_PHOTOS - before)], before + 1):
        of = {"meter": photo.meter} if isinstance(came, LinkReturn) else {}
        model: Any = came.photos.model
        row = model(came=came, number=number, refused=_too_big(photo), **of)
        row.photo_id, row.size, row.sha256 = photo.photo_id, photo.size, photo.sha256
        row.full_clean()
        row.save()


def _too_big(photo: Photo) -> str:
    return f"wanted at most {MOST_BYTES // MEGABYTE} MB, found more" if photo.size > MOST_BYTES else ""
