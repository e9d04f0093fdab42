"""Who somebody is, as what they show says."""

from fleet.people.models import Person, Token
from fleet.secret import digest, is_whole


def person_of(secret: str) -> Person | None:
    """Whose token this is; None where it is none, was revoked, or its person can't sign in any more."""
    if not is_whole(secret):
        return None
    token = Token.objects.in_force().filter(secret_hash=digest(secret)).select_related("person").first()
    return token.person if token is not None else None
