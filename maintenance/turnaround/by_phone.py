"""What a phone kept and sends when it can: taken once, whenever it comes, and flagged where it is odd."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.boats.facts import base_of
from fleet.boats.models import Boat, Meter
from fleet.charters.links import State, state_of
from fleet.charters.models import Charter, Link
from fleet.charters.rules import has_gone
from fleet.ledger import once
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
    CameByLink,
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
    CLOCK = "the phone’s clock was wrong"
    NOT_ABOARD = "something chosen is not aboard any more"
    NO_NUMBER = "hours that are no number"


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
    """How the phone kept it: its own clock when it was written and when it is sent, the photos to
    follow, and what the door found odd already."""

    client_id: str
    made_at: datetime
    clock: datetime
    photos: Sequence[Photo] = ()
    odd: tuple[Odd, ...] = ()


def report_by_phone(link: Link, boat: Boat, told: Told, kept: Kept, *, at: datetime) -> Defect:
    """Keeps a report that a phone sends, once, however often and late it comes.

    It is found when it was written, reckoned back by the phone's own clock. LinkClosed where the base
    closed the link, TooManyForNow, NotByLink, PhoneRefused; nothing else is in its way.
    """

    def keep() -> Defect:
        ours = let_in(link, "report a defect", at=at, late=True)
        refuse_told(boat, told)
        refuse_photos(kept.photos)
        refuse_too_many(ours, at=at, most=MOST_WITH_DANGER if told.risk_now else MOST_AN_HOUR)
        found_at = written_at(kept, ours, at)
        defect = keep_report(ours, boat, replace(told, found_at=found_at), at, kept.client_id)
        came = LinkDefect.objects.get(defect=defect)
        _note(came, kept, ours, boat, at)
        _expect(LinkDefectPhoto, came, kept.photos)
        return defect

    return once(lambda: report_known(link, kept.client_id), keep)


def return_by_phone(link: Link, boat: Boat, report: Report, kept: Kept, *, at: datetime) -> Return:
    """Keeps a return that a phone sends, once, as `report_by_phone` does; its day is the one it was
    written on, within the charter."""

    def keep() -> Return:
        ours = let_in(link, "record a return", at=at, late=True)
        refuse_photos(kept.photos)
        refuse_too_many(ours, at=at)
        found_at = written_at(kept, ours, at)
        day = day_of_return(ours.charter, base_of(boat, at.date()).day_of(found_at))
        told = replace(report, day=day, filed_by=Return.FiledBy.SKIPPER)
        filed = file_return(boat, ours.charter, told, at=at, client_id=kept.client_id)
        came = LinkReturn.objects.create(link=ours, filed=filed)
        _note(came, kept, ours, boat, at)
        _expect(LinkReturnPhoto, came, kept.photos)
        return filed

    return once(lambda: return_known(link, kept.client_id), keep)


def written_at(kept: Kept, link: Link, at: datetime) -> datetime:
    """When it was written by our clock: as long ago as the phone's clock says; not before the link was
    made, for there was nothing to write it with."""
    ago = max(kept.clock - kept.made_at, timedelta(0))
    return max(at - ago, min(link.made_at, at))


def day_of_return(charter: Charter, day: Any) -> Any:
    """The day a return is of: the one it was written on, within the charter."""
    return max(min(charter.ends_on, day), charter.starts_on)


def refuse_photos(photos: Sequence[Photo]) -> None:
    """PhoneRefused where more photos are announced than may come, or one is announced twice."""
    names = [photo.photo_id for photo in photos]
    if len(photos) > MOST_PHOTOS:
        raise PhoneRefused(f"photos: wanted at most {MOST_PHOTOS}")
    if len(set(names)) < len(names) or not all(0 < len(name) <= MOST_PHOTO_ID for name in names):
        raise PhoneRefused("photos: wanted an id of its own for each")
    if any(photo.size <= 0 for photo in photos):
        raise PhoneRefused("photos: wanted the size of each in bytes")


@transaction.atomic
def _note(came: CameByLink, kept: Kept, link: Link, boat: Boat, at: datetime) -> None:
    """How it came, and what is odd about it."""
    off = kept.clock - at
    odd = [*kept.odd, *_odd(link, boat, at)]
    if abs(off) > CLOCK_MAY_BE_OFF:
        odd.append(Odd.CLOCK)
    came.clock_off, came.odd = round(off.total_seconds()), list(dict.fromkeys(odd))
    came.save()


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


def _expect(model: Any, came: CameByLink, photos: Sequence[Photo]) -> None:
    for number, photo in enumerate(photos, 1):
        of = {"meter": photo.meter} if model is LinkReturnPhoto else {}
        row = model(
            came=came, number=number, photo_id=photo.photo_id, size=photo.size, sha256=photo.sha256, **of
        )
        row.full_clean()
        row.save()
