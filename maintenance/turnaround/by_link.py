"""What a skipper's link lets in: reports and the return of its own charter, so many an hour."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

from django.db import transaction

from fleet.bases.models import Base
from fleet.boats.facts import base_of
from fleet.boats.models import Boat, Component, Fitting, Place
from fleet.charters.models import Charter, Link
from fleet.ledger import once
from fleet.papers.actions import keep_paper
from maintenance.defects.actions import report_defect
from maintenance.defects.models import Defect, DefectPaper
from maintenance.spares.actions import SpareUsed, use_spare
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.let_in import (
    HOUR,
    MOST_AN_HOUR,
    MOST_LINES,
    MOST_PHOTOS,
    MOST_USED,
    MOST_WITH_DANGER,
    MOST_WORDS,
    NotByLink,
    let_in,
    refuse_other_boat,
    refuse_too_many,
    report_known,
    return_known,
)
from maintenance.turnaround.models import LinkDefect, LinkDefectMove, LinkReturn, Return


@dataclass(frozen=True, slots=True)
class Told:
    """What is wrong, as the skipper says it; `beside` is what was chosen from a list and has no column:
    it stands below the words. Photos as they come out of a camera."""

    words: str
    beside: str = ""
    works: str = ""
    risk_now: bool | None = None
    place: Place | None = None
    component: Component | None = None
    photos: Sequence[bytes] = field(default_factory=tuple)
    used: Sequence[SpareUsed] = ()
    reporter: str = ""
    found_at: datetime | None = None  # where it was written before it came in
    language: str = ""

    @property
    def whole(self) -> str:
        """The words as they are kept."""
        return f"{self.words}\n\n{self.beside}" if self.beside else self.words


def report_by_link(
    link: Link, boat: Boat, told: Told, *, at: datetime, client_id: str | None = None
) -> Defect:
    """Keeps what a skipper reports, whole or not at all, once per `client_id`.

    LinkClosed or TooManyForNow where the link lets nothing in; NotByLink names what is wrong, and
    PaperRefused a photo that is none (clean photos first, as `keep_paper` says).
    """

    def keep() -> Defect:
        ours = let_in(link, "report a defect", at=at)
        refuse_other_boat(ours, boat)
        refuse_told(boat, told)
        if (same := _same_lately(ours, boat, told, at)) is not None:
            return _with_photos(same, told, at)
        refuse_too_many(ours, at=at, most=MOST_WITH_DANGER if told.risk_now else MOST_AN_HOUR)
        return keep_report(ours, boat, told, at, client_id)

    return once(lambda: report_known(link, client_id), keep)


def return_by_link(
    link: Link, boat: Boat, report: Report, *, at: datetime, client_id: str | None = None
) -> Return:
    """Keeps a skipper's return of a boat of the charter, once per `client_id`, as `file_return` does;
    it adds to the base's check-out and does not stand for it."""

    def keep() -> Return:
        ours = let_in(link, "record a return", at=at)
        refuse_other_boat(ours, boat)
        if report.filed_by != Return.FiledBy.SKIPPER:
            raise NotByLink("filed_by: wanted skipper")
        if max(len(report.defects), len(report.lost)) > MOST_LINES:
            raise NotByLink(f"defects: wanted at most {MOST_LINES} things in one return")
        refuse_spares(boat, report.used)
        if (same := _same_return_lately(ours, boat, report, at)) is not None:
            return same
        refuse_too_many(ours, at=at)
        filed = file_return(boat, ours.charter, report, at=at, client_id=client_id)
        LinkReturn.objects.create(link=ours, filed=filed)
        return filed

    return once(lambda: return_known(link, client_id), keep)


def _same_lately(link: Link, boat: Boat, told: Told, at: datetime) -> Defect | None:
    """The same report sent within the hour: a page gone back to has a new id for the same words."""
    rows = Defect.objects.standing().filter(
        came_by__link=link,
        boat=boat,
        recorded_at__gt=at - HOUR,
        words=told.whole,
        works=told.works,
        risk_now=told.risk_now,
        place=told.place,
        component=told.component,
    )
    same: Defect | None = rows.order_by("pk").first()
    return same


def _with_photos(defect: Defect, told: Told, at: datetime) -> Defect:
    """A report with the photos it came with this time: those it has already are there once."""
    base = base_of(defect.boat, at.date())
    for photo in told.photos:
        DefectPaper.objects.get_or_create(defect=defect, paper=keep_paper(photo, base=base, at=at, by=None))
    return defect


def _same_return_lately(link: Link, boat: Boat, report: Report, at: datetime) -> Return | None:
    """The same return sent within the hour, answer by answer, word by word, dial by dial."""
    rows = Return.objects.standing().filter(came_by__link=link, boat=boat, recorded_at__gt=at - HOUR)
    told = (
        {code: said for code, said in report.answers.items() if said is not None},
        sorted([*report.defects, *report.lost]),
        {(read.meter.pk, round(read.dial, 2)) for read in report.dials},
        {(used.spare.pk, used.quantity) for used in report.used},
    )
    return next((row for row in rows if _as_told(row) == told), None)


def _as_told(filed: Return) -> tuple[object, ...]:
    words = filed.defects.exclude(defect__asked=Defect.Asked.QUESTION)
    return (
        {code: said for code, said in filed.answers.items() if said is not None},
        sorted(words.values_list("defect__words", flat=True)),
        set(filed.readings.values_list("reading__meter", "reading__dial")),
        set(filed.moves.values_list("move__spare", "move__quantity")),
    )


def refuse_told(boat: Boat, told: Told) -> None:
    if not told.words.strip() or len(told.whole) > MOST_WORDS:
        raise NotByLink(f"words: wanted what is wrong, up to {MOST_WORDS} letters")
    if len(told.photos) > MOST_PHOTOS:
        raise NotByLink(f"photos: wanted at most {MOST_PHOTOS}")
    if told.place is not None and told.place.boat_id != boat.pk:
        raise NotByLink(f"place: wanted a place aboard {boat.name}")
    if told.component is not None and not is_aboard(boat, told.component):
        raise NotByLink(f"component: wanted one that is fitted to {boat.name}")
    refuse_spares(boat, told.used)


def is_aboard(boat: Boat, component: Component) -> bool:
    rows = Fitting.objects.standing().filter(boat=boat, component=component, removed_on__isnull=True)
    return bool(rows.exists())


def refuse_spares(boat: Boat, used: Sequence[SpareUsed]) -> None:
    """A skipper takes from the boat's own kit; the base's store is not within reach."""
    for one in used:
        if one.place.boat_id != boat.pk:
            raise NotByLink(f"spares: wanted one of {boat.name}'s own kit")
        if not 0 < one.quantity < MOST_USED:
            raise NotByLink(f"spares: wanted how many of {one.spare.name}, above 0")


@transaction.atomic
def keep_report(link: Link, boat: Boat, told: Told, at: datetime, client_id: str | None) -> Defect:
    """Keeps a report that is let in, as it was checked, and that it came by this link."""
    charter: Charter = link.charter
    base: Base = base_of(boat, at.date())
    papers = [keep_paper(photo, base=base, at=at, by=None) for photo in told.photos]
    defect = report_defect(
        boat,
        words=told.whole,
        own_words=told.words,
        at=at,
        found_at=told.found_at,
        language=told.language,
        charter=charter,
        reporter=told.reporter or charter.skipper,
        risk_now=told.risk_now,
        place=told.place,
        component=told.component,
        works=told.works,
        papers=papers,
        client_id=client_id,
    )
    came = LinkDefect.objects.create(link=link, defect=defect)
    for one in told.used:
        move = use_spare(one.spare, one.place, quantity=one.quantity, day=base.day_of(at), at=at)
        LinkDefectMove.objects.create(defect=came, move=move)
    return defect
