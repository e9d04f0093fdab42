"""What can be done about people: their tokens."""

from datetime import datetime

from django.db import transaction

from fleet.people.models import Person, Token
from fleet.secret import digest, new_secret


@transaction.atomic
def make_token(person: Person, *, name: str, at: datetime) -> tuple[Token, str]:
    """A program's way in as this person, and its secret, which is kept nowhere and shown this once."""
    secret = new_secret()
    token = Token(person=person, name=" ".join(name.split()), secret_hash=digest(secret), made_at=at)
    token.full_clean()
    token.save()
    return token, secret


@transaction.atomic
def revoke_token(token: Token, *, at: datetime) -> Token:
    """Ends a token from now on; one that ended before keeps its moment."""
    token = Token.objects.select_for_update().get(pk=token.pk)
    if token.revoked_at is None:
        token.revoked_at = at
        token.save()
    return token
