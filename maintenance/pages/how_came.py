"""How a report or a return came in: in which language, how late, with which photos, what is odd about it."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.utils.translation import get_language_info

from fleet.boats.models import Boat
from fleet.pages.desk import Desk
from maintenance.pages import wording
from maintenance.pages.odd_words import Oddity, odd_words
from maintenance.turnaround.models import LinkDefect, LinkReturn, PhotoToCome

LATE = timedelta(minutes=5)  # own choice: that much later it came, both moments are said
BESIDE = "link__charter__boat"


@dataclass(frozen=True, slots=True)
class Came:
    """What is said of how it came; each blank or empty where there is nothing to say."""

    language: str = ""
    lang: str = ""  # as a browser wants it
    written: str = ""
    photos: tuple[str, ...] = ()
    odd: tuple[Oddity, ...] = ()
    used: str = ""

    @property
    def other_boat(self) -> bool:
        """Whether another boat may be meant."""
        return any(each.of_boat for each in self.odd)

    def __bool__(self) -> bool:
        return bool(self.language or self.written or self.photos or self.odd or self.used)


def report_came(row: Any, came: LinkDefect | None, desk: Desk) -> Came:
    """Of a report; one that came by a cleaners' link has only its words."""
    lang, language = spoken(row.language)
    first = came.defect if came is not None else row
    written = written_and_came(row.found_at, first.recorded_at, desk)
    if came is None:
        return Came(language, lang, written)
    photos, odd = photos_to_come(came.photos.all()), _odd(came, first.boat)
    return Came(language, lang, written, photos, odd, _used(came))


def _used(came: LinkDefect) -> str:
    """The spares that went off her kit with it: what is wrong may need no part any more, the kit does."""
    parts = [f"{wording.quantity(row.move.quantity)} {row.move.spare}" for row in came.moves.all()]
    return f"Used: {', '.join(parts)}." if parts else ""


def return_came(came: LinkReturn | None) -> Came:
    """Of a return: it has no language of its own, its day is its own."""
    if came is None:
        return Came()
    return Came(photos=photos_to_come(came.photos.all()), odd=_odd(came, came.filed.boat))


def came_of_reports(rows: Collection[int]) -> dict[int, LinkDefect]:
    """How reports came, by the row they first came in as; three queries, four where spares were used."""
    found = LinkDefect.objects.filter(defect__in=rows).select_related(BESIDE, "defect__boat")
    return {came.defect_id: came for came in found.prefetch_related("photos", "moves__move__spare")}


def spoken(code: str) -> tuple[str, str]:
    """A language other than English, as a browser and as a reader wants it."""
    if not code or code.lower().partition("-")[0] == "en":
        return "", ""
    try:
        return code, get_language_info(code)["name"]
    except KeyError:
        return code, f"language “{code}”"


def written_and_came(written: datetime, came: datetime, desk: Desk) -> str:
    """Both moments, where it lay on a phone in between."""
    if abs(came - written) <= LATE:
        return ""
    zone = desk.base.timezone
    return f"Written {wording.moment(written, zone)}; came in {wording.moment(came, zone)}."


def photos_to_come(photos: Iterable[PhotoToCome]) -> tuple[str, ...]:
    """Which of the photos that were announced are not here, and why."""
    rows = list(photos)
    here = sum(row.paper_id is not None for row in rows)
    coming = sum(row.paper_id is None and not row.refused for row in rows)
    said = [f"Photo {row.number} could not be kept: {row.refused}." for row in rows if row.refused]
    if coming == 1:
        said.insert(0, f"A photo is still on its way: {here} of {len(rows)} here.")
    elif coming:
        many = wording.sentence(wording.many(coming, "photo"))
        said.insert(0, f"{many} are still on their way: {here} of {len(rows)} here.")
    return tuple(said)


def _odd(came: LinkDefect | LinkReturn, boat: Boat) -> tuple[Oddity, ...]:
    return odd_words(came.odd, boat=boat, charter=came.link.charter, clock_off=came.clock_off)
