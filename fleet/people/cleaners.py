"""The cleaners' way in: one address for all boats of a base, made, closed, and what a secret opens."""

from datetime import datetime

from django.db import transaction

from fleet.bases.models import Base
from fleet.people.models import CleanersLink, Person
from fleet.refused import Refused
from fleet.secret import as_copied, digest, is_whole, new_secret

MOST_OPEN = 10  # more ways in than a base has crews of cleaners are looked after by nobody


class LinkRefused(Refused):
    """A link that cannot be made; the text says what is in the way."""


@transaction.atomic
def make_cleaners_link(
    base: Base, *, at: datetime, by: Person | None = None, secret: str | None = None
) -> tuple[CleanersLink, str]:
    """A way in for a base's cleaners and its secret, which is kept nowhere and shown this once.

    LinkRefused where as many are open as anybody looks after. `secret` is given by the demo alone.
    """
    Base.objects.select_for_update().get(pk=base.pk)
    if CleanersLink.objects.filter(base=base, revoked_at__isnull=True).count() >= MOST_OPEN:
        raise LinkRefused(f"wanted at most {MOST_OPEN} open links: close one first")
    secret = secret or new_secret()
    link = CleanersLink(base=base, secret_hash=digest(secret), made_at=at, made_by=by)
    link.full_clean()
    link.save()
    return link, secret


@transaction.atomic
def close_cleaners_link(link: CleanersLink, *, at: datetime) -> CleanersLink:
    """Closes a way in; what came by it stays. Twice changes nothing."""
    row = CleanersLink.objects.select_for_update().get(pk=link.pk)
    if row.revoked_at is None:
        row.revoked_at = at
        row.save()
    return row


def was_copied_whole(text: str) -> bool:
    """Whether an address was copied without a slip; nothing is said about whose it is."""
    return is_whole(as_copied(text))


def cleaners_link(text: str) -> CleanersLink | None:
    """The link a secret is of, closed or not, as somebody copied it; None where it is none of ours."""
    secret = as_copied(text)
    if not is_whole(secret):
        return None
    rows = CleanersLink.objects.select_related("base")
    return rows.filter(secret_hash=digest(secret)).first()
