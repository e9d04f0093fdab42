"""The skipper's link: made for one charter, ended after its return, and what a secret opens."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from django.db import transaction

from fleet.boats.dates import spoken
from fleet.boats.facts import base_of
from fleet.charters.models import Charter, Link
from fleet.charters.rules import BACK
from fleet.people.models import Person
from fleet.refused import Refused
from fleet.secret import as_copied, digest, is_whole, new_secret

# Own choices: long enough to add what was forgotten and to read what the base answered.
AFTER_RETURN = timedelta(hours=48)
AFTER_CHECK_OUT = timedelta(hours=24)


class LinkRefused(Refused):
    """A link that cannot be made; the text says what is in the way."""


class State(StrEnum):
    """What a secret turns out to be."""

    INCOMPLETE = "incomplete"
    UNKNOWN = "unknown"
    REVOKED = "revoked"
    CANCELLED = "cancelled"
    ENDED = "ended"
    GOOD = "good"


@dataclass(frozen=True, slots=True)
class Verdict:
    """How a secret stands at a moment, and the link it is of, where it is one of ours."""

    state: State
    link: Link | None = None


@transaction.atomic
def make_link(
    charter: Charter, *, at: datetime, by: Person | None = None, secret: str | None = None
) -> tuple[Link, str]:
    """A way in for one charter and its secret, which is kept nowhere and shown this once.

    LinkRefused where the charter was called off or its links would have ended already. `secret` is
    given by the demo alone, whose way in is no secret.
    """
    charter.refresh_from_db()
    if charter.cancelled_at is not None:
        raise LinkRefused(f"{charter.code} was called off")
    ends_at = end_of(charter)
    if ends_at <= at:
        raise LinkRefused(
            f"{charter.code} came back on {spoken(charter.ends_on)}, and a link ends 48 h after that"
        )
    secret = secret or new_secret()
    link = Link(charter=charter, secret_hash=digest(secret), made_at=at, made_by=by, ends_at=ends_at)
    link.full_clean()
    link.save()
    return link, secret


@transaction.atomic
def revoke_link(link: Link, *, at: datetime, by: Person | None = None) -> Link:
    """Closes a way in; what came by it stays. Twice changes nothing."""
    row = Link.objects.select_for_update().get(pk=link.pk)
    if row.revoked_at is None:
        row.revoked_at, row.revoked_by = at, by
        row.save()
    return row


def end_of(charter: Charter) -> datetime:
    """When a charter's links end: 48 h after its return, by the clock of its base."""
    zone = ZoneInfo(base_of(charter.boat, charter.ends_on).timezone)
    back = datetime.combine(charter.ends_on, charter.back_at or BACK, zone)
    return back.astimezone(UTC) + AFTER_RETURN  # real hours, also where clocks change in between


def follow_charter(charter: Charter) -> None:
    """Moves the end of a charter's links to where the charter now ends."""
    Link.objects.filter(charter=charter).update(ends_at=end_of(charter))


def close_links(charter: Charter, *, at: datetime) -> None:
    """Ends a charter's links 24 h after the base checked the boat out, where they ran longer."""
    last = at + AFTER_CHECK_OUT
    Link.objects.filter(charter=charter, ends_at__gt=last).update(ends_at=last)


def by_secret(text: str, *, at: datetime) -> Verdict:
    """What a secret opens, as somebody copied it."""
    secret = as_copied(text)
    if not is_whole(secret):
        return Verdict(State.INCOMPLETE)
    rows = Link.objects.select_related("charter__boat")
    link = rows.filter(secret_hash=digest(secret)).first()
    return Verdict(State.UNKNOWN) if link is None else Verdict(state_of(link, at=at), link)


def state_of(link: Link, *, at: datetime) -> State:
    """How a link stands at a moment; a revoked one says no more than that."""
    if link.revoked_at is not None:
        return State.REVOKED
    if link.charter.cancelled_at is not None:
        return State.CANCELLED
    return State.GOOD if at < link.ends_at else State.ENDED
