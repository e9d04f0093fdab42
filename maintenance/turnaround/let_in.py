"""Who a skipper's link lets in, for which boat, and how often: nothing twice, so many an hour."""

from datetime import datetime, timedelta
from decimal import Decimal

from fleet.bases.turns import take_turn
from fleet.boats.models import Boat
from fleet.charters.facts import boats_had
from fleet.charters.links import State, state_of
from fleet.charters.models import Link
from fleet.people.roles import SKIPPER, may
from fleet.refused import Refused
from maintenance.defects.models import Defect
from maintenance.turnaround.models import LinkDefect, LinkReturn, Return

MOST_AN_HOUR = 30  # own choice: what a week with no signal gathers and sends at once, less than fills a base
MOST_WITH_DANGER = 2 * MOST_AN_HOUR  # a report of danger goes where others would have to wait
HOUR = timedelta(hours=1)
MOST_WORDS, MOST_PHOTOS = 20_000, 12
MOST_LINES = 40  # things told in one return, lost and wrong each
MOST_USED = Decimal(10) ** 7
IN_A_DRAWER = timedelta(days=90)  # own choice: so long after a link ended, what a phone kept is still taken


class NotByLink(Refused):
    """Something a link does not open, or not as given; `field` names what to put right."""


class TooManyForNow(Refused):
    """A link that raised as much as it may within the hour."""


class LinkClosed(Refused):
    """A link that lets nothing in any more; `state` says why."""

    def __init__(self, state: State) -> None:
        self.state = state
        super().__init__(f"this link is {state}")


def let_in(link: Link, action: str, *, at: datetime, late: bool = False) -> Link:
    """The link as it stands in our turn, once it is sure that it opens this; LinkClosed, NotByLink.

    `late` also takes what a phone kept while the charter was called off or the link ended, for ninety
    days: it was written by somebody who was let in then. A link the base closed stays closed.
    """
    take_turn()
    ours: Link = Link.objects.select_for_update().get(pk=link.pk)
    if not may(frozenset({SKIPPER}), action):
        raise NotByLink(f"a link does not open this: {action}")
    state = state_of(ours, at=at)
    if state is not State.GOOD and not (late and comes_late(ours, state, at=at)):
        raise LinkClosed(state)
    return ours


def comes_late(link: Link, state: State, *, at: datetime) -> bool:
    """Whether a link that lets nobody in any more still takes what was written before."""
    return state in (State.CANCELLED, State.ENDED) and at < link.ends_at + IN_A_DRAWER


def refuse_other_boat(link: Link, boat: Boat) -> None:
    """NotByLink where the charter never had the boat."""
    if boat.pk not in {had.pk for had in boats_had(link.charter)}:
        raise NotByLink(f"boat: {link.charter.code} did not have {boat.name}")


def refuse_too_many(link: Link, *, at: datetime, most: int = MOST_AN_HOUR) -> None:
    if raised_lately(link, at=at) >= most:
        raise TooManyForNow(f"wanted at most {most} reports an hour")


def raised_lately(link: Link, *, at: datetime) -> int:
    """How many reports and returns came by a link within the hour before a moment."""
    since = at - HOUR
    reports = LinkDefect.objects.filter(link=link, defect__recorded_at__gt=since).count()
    return reports + LinkReturn.objects.filter(link=link, filed__recorded_at__gt=since).count()


def report_known(link: Link, client_id: str | None) -> Defect | None:
    """The report sent before with this id; NotByLink where the id is somebody else's."""
    there = Defect.objects.filter(client_id=client_id).first() if client_id else None
    if there is not None and not LinkDefect.objects.filter(link=link, defect=there).exists():
        raise NotByLink("client_id: wanted a new one")
    return there


def return_known(link: Link, client_id: str | None) -> Return | None:
    """The return sent before with this id; NotByLink where the id is somebody else's."""
    there = Return.objects.filter(client_id=client_id).first() if client_id else None
    if there is not None and not LinkReturn.objects.filter(link=link, filed=there).exists():
        raise NotByLink("client_id: wanted a new one")
    return there
