"""What a cleaners' link lets in: what was seen on a boat of its base, so many an hour and boat."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from hashlib import sha256

from fleet.bases.turns import take_turn
from fleet.boats.models import Boat
from fleet.ledger import once
from fleet.papers.actions import keep_paper
from fleet.people.models import CleanersLink
from fleet.refused import Refused
from maintenance.defects.actions import report_defect
from maintenance.defects.facts import words_of_alarm
from maintenance.defects.models import Defect, DefectPaper
from maintenance.turnaround.let_in import (
    HOUR,
    MOST_AN_HOUR,
    MOST_PHOTOS,
    MOST_WITH_DANGER,
    MOST_WORDS,
    TooManyForNow,
)

CLEANER = "a cleaner"  # who reports, where no name was given
KEY_LENGTH = 40


class CleanersLinkClosed(Refused):
    """A link that lets nothing in any more."""


class NotByCleaners(Refused):
    """Something a link does not open, or not as given; `field` names what to put right."""


@dataclass(frozen=True, slots=True)
class Seen:
    """What was seen, in words; photos as they come out of a camera."""

    words: str
    photos: Sequence[bytes] = field(default_factory=tuple)
    reporter: str = ""


def report_by_cleaners(link: CleanersLink, boat: Boat, seen: Seen, *, at: datetime, client_id: str) -> Defect:
    """Keeps what a cleaner saw, whole or not at all, once per `client_id`.

    CleanersLinkClosed or TooManyForNow where the link lets nothing in; NotByCleaners names what is
    wrong (clean photos first, as `keep_paper` says).
    """
    name = _name(client_id)

    def keep() -> Defect:
        _let_in(link, boat, seen, at)
        if (same := _same_lately(link, boat, seen, at)) is not None:
            return _with_photos(same, link, seen, at)
        alarm = words_of_alarm(boat, seen.words, on=at)
        _refuse_too_many(link, boat, at, MOST_WITH_DANGER if alarm else MOST_AN_HOUR)
        who = seen.reporter or CLEANER
        kept = report_defect(boat, words=seen.words, at=at, reporter=who, client_id=_came_by(link) + name)
        return _with_photos(kept, link, seen, at)

    return once(lambda: report_of(link, name), keep)


def report_of(link: CleanersLink, name: str) -> Defect | None:
    """The report that came by a link, by the name its sender's page was given; nobody else knows it."""
    there: Defect | None = Defect.objects.filter(client_id=_came_by(link) + name).first()
    return there


def name_of(link: CleanersLink, defect: Defect) -> str:
    """What a report that came by a link is called in the address of its sender's page."""
    return (defect.client_id or "").removeprefix(_came_by(link))


def _name(client_id: str) -> str:
    return sha256(client_id.encode("utf-8", "replace")).hexdigest()[:KEY_LENGTH]


def _came_by(link: CleanersLink) -> str:
    return f"cleaners-{link.pk}-"


def _let_in(link: CleanersLink, boat: Boat, seen: Seen, at: datetime) -> None:
    """Waits for our turn, then makes sure that the link opens this."""
    take_turn()
    ours = CleanersLink.objects.select_for_update().get(pk=link.pk)
    if ours.revoked_at is not None:
        raise CleanersLinkClosed("this link is closed")
    if not Boat.objects.of_base(ours.base_id, ours.base.day_of(at)).filter(pk=boat.pk).exists():
        raise NotByCleaners(f"boat: wanted one of {ours.base.name}")
    if not seen.words.strip() or len(seen.words) > MOST_WORDS:
        raise NotByCleaners(f"words: wanted what was seen, up to {MOST_WORDS} letters")
    if len(seen.photos) > MOST_PHOTOS:
        raise NotByCleaners(f"photos: wanted at most {MOST_PHOTOS}")


def _refuse_too_many(link: CleanersLink, boat: Boat, at: datetime, most: int) -> None:
    came = Defect.objects.filter(
        boat=boat, recorded_at__gt=at - HOUR, client_id__startswith=_came_by(link), replaces__isnull=True
    )
    if came.count() >= most:
        raise TooManyForNow(f"wanted at most {most} reports an hour of one boat")


def _same_lately(link: CleanersLink, boat: Boat, seen: Seen, at: datetime) -> Defect | None:
    """The same words of the same boat within the hour: a page gone back to has a new id."""
    rows = Defect.objects.standing().filter(
        boat=boat,
        recorded_at__gt=at - HOUR,
        client_id__startswith=_came_by(link),
        words=seen.words,
        reporter=seen.reporter or CLEANER,
    )
    same: Defect | None = rows.order_by("pk").first()
    return same


def _with_photos(defect: Defect, link: CleanersLink, seen: Seen, at: datetime) -> Defect:
    for photo in seen.photos:
        paper = keep_paper(photo, base=link.base, at=at, by=None)
        DefectPaper.objects.get_or_create(defect=defect, paper=paper)
    return defect
