"""What a skipper's link lets in: reports and the return of its own charter, so many an hour."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from decimal import Decimal

from django.db import transaction

from fleet.bases.models import Base
from fleet.bases.turns import take_turn
from fleet.boats.facts import base_of
from fleet.boats.models import Boat, Component, Fitting, Place
from fleet.charters.facts import boats_had
from fleet.charters.links import State, state_of
from fleet.charters.models import Charter, Link
from fleet.ledger import once
from fleet.papers.actions import keep_paper
from fleet.people.roles import SKIPPER, may
from fleet.refused import Refused
from maintenance.defects.actions import report_defect
from maintenance.defects.models import Defect, DefectPaper
from maintenance.spares.actions import SpareUsed, use_spare
from maintenance.turnaround.actions import Report, file_return
from maintenance.turnaround.models import LinkDefect, LinkDefectMove, LinkReturn, Return

MOST_AN_HOUR = 12  # own choice: more than a crew finds wrong, less than fills a base's page
MOST_WITH_DANGER = 2 * MOST_AN_HOUR  # a report of danger goes where others would have to wait
HOUR = timedelta(hours=1)
MOST_WORDS, MOST_PHOTOS = 20_000, 12
MOST_LINES = 40  # things told in one return, lost and wrong each
MOST_USED = Decimal(10) ** 7


class NotByLink(Refused):
    """Something a link does not open, or not as given; `field` names what to put right."""


class TooManyForNow(Refused):
    """A link that raised as much as it may within the hour."""


class LinkClosed(Refused):
    """A link that lets nothing in any more; `state` says why."""

    def __init__(self, state: State) -> None:
        self.state = state
        super().__init__(f"this link is {state}")


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
        ours = _let_in(link, boat, "report a defect", at)
        _refuse(boat, told)
        if (same := _same_lately(ours, boat, told, at)) is not None:
            return _with_photos(same, told, at)
        _refuse_too_many(ours, at, MOST_WITH_DANGER if told.risk_now else MOST_AN_HOUR)
        return _keep_report(ours, boat, told, at, client_id)

    return once(lambda: _report_known(link, client_id), keep)


def return_by_link(
    link: Link, boat: Boat, report: Report, *, at: datetime, client_id: str | None = None
) -> Return:
    """Keeps a skipper's return of a boat of the charter, once per `client_id`, as `file_return` does;
    it adds to the base's check-out and does not stand for it."""

    def keep() -> Return:
        ours = _let_in(link, boat, "record a return", at)
        if report.filed_by != Return.FiledBy.SKIPPER:
            raise NotByLink("filed_by: wanted skipper")
        if max(len(report.defects), len(report.lost)) > MOST_LINES:
            raise NotByLink(f"defects: wanted at most {MOST_LINES} things in one return")
        _refuse_spares(boat, report.used)
        if (same := _same_return_lately(ours, boat, report, at)) is not None:
            return same
        _refuse_too_many(ours, at, MOST_AN_HOUR)
        filed = file_return(boat, ours.charter, report, at=at, client_id=client_id)
        LinkReturn.objects.create(link=ours, filed=filed)
        return filed

    return once(lambda: _return_known(link, client_id), keep)


def raised_lately(link: Link, *, at: datetime) -> int:
    """How many reports and returns came by a link within the hour before a moment."""
    since = at - HOUR
    reports = LinkDefect.objects.filter(link=link, defect__recorded_at__gt=since).count()
    return reports + LinkReturn.objects.filter(link=link, filed__recorded_at__gt=since).count()


def _let_in(link: Link, boat: Boat, action: str, at: datetime) -> Link:
    """The link as it stands in our turn, once it is sure that it opens this for this boat."""
    take_turn()
    ours = Link.objects.select_for_update().get(pk=link.pk)
    if not may(frozenset({SKIPPER}), action):
        raise NotByLink(f"a link does not open this: {action}")
    if (state := state_of(ours, at=at)) is not State.GOOD:
        raise LinkClosed(state)
    if boat.pk not in {had.pk for had in boats_had(ours.charter)}:
        raise NotByLink(f"boat: {ours.charter.code} did not have {boat.name}")
    return ours


def _refuse_too_many(link: Link, at: datetime, most: int) -> None:
    if raised_lately(link, at=at) >= most:
        raise TooManyForNow(f"wanted at most {most} reports an hour")


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


def _report_known(link: Link, client_id: str | None) -> Defect | None:
    """The report sent before with this id; NotByLink where the id is somebody else's."""
    there = Defect.objects.filter(client_id=client_id).first() if client_id else None
    if there is not None and not LinkDefect.objects.filter(link=link, defect=there).exists():
        raise NotByLink("client_id: wanted a new one")
    return there


def _return_known(link: Link, client_id: str | None) -> Return | None:
    there = Return.objects.filter(client_id=client_id).first() if client_id else None
    if there is not None and not LinkReturn.objects.filter(link=link, filed=there).exists():
        raise NotByLink("client_id: wanted a new one")
    return there


def _refuse(boat: Boat, told: Told) -> None:
    if not told.words.strip() or len(told.whole) > MOST_WORDS:
        raise NotByLink(f"words: wanted what is wrong, up to {MOST_WORDS} letters")
    if len(told.photos) > MOST_PHOTOS:
        raise NotByLink(f"photos: wanted at most {MOST_PHOTOS}")
    if told.place is not None and told.place.boat_id != boat.pk:
        raise NotByLink(f"place: wanted a place aboard {boat.name}")
    if told.component is not None and not _aboard(boat, told.component):
        raise NotByLink(f"component: wanted one that is fitted to {boat.name}")
    _refuse_spares(boat, told.used)


def _aboard(boat: Boat, component: Component) -> bool:
    rows = Fitting.objects.standing().filter(boat=boat, component=component, removed_on__isnull=True)
    return bool(rows.exists())


def _refuse_spares(boat: Boat, used: Sequence[SpareUsed]) -> None:
    """A skipper takes from the boat's own kit; the base's store is not within reach."""
    for one in used:
        if one.place.boat_id != boat.pk:
            raise NotByLink(f"spares: wanted one of {boat.name}'s own kit")
        if not 0 < one.quantity < MOST_USED:
            raise NotByLink(f"spares: wanted how many of {one.spare.name}, above 0")


@transaction.atomic
def _keep_report(link: Link, boat: Boat, told: Told, at: datetime, client_id: str | None) -> Defect:
    charter: Charter = link.charter
    base: Base = base_of(boat, at.date())
    papers = [keep_paper(photo, base=base, at=at, by=None) for photo in told.photos]
    defect = report_defect(
        boat,
        words=told.whole,
        own_words=told.words,
        at=at,
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
