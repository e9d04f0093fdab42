"""Signing in with a token: `Authorization: Bearer ...`."""

from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework.authentication import BaseAuthentication, get_authorization_header
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.request import Request

from fleet.people.facts import person_of
from fleet.people.models import Person


class TokenAuthentication(BaseAuthentication):
    """A program signs in as the person who made its token."""

    def authenticate(self, request: Request) -> tuple[Person, str] | None:
        scheme, _, secret = get_authorization_header(request).partition(b" ")
        if scheme.lower() != b"bearer":
            return None
        person = person_of(secret.decode("ascii", "replace").strip())
        if person is None:
            raise AuthenticationFailed("Authorization: wanted Bearer and a token that is in force")
        return person, "token"

    def authenticate_header(self, request: Request) -> str:
        return "Bearer"


class TokenScheme(OpenApiAuthenticationExtension):
    """How the schema says it."""

    target_class = TokenAuthentication
    name = "token"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        return {"type": "http", "scheme": "bearer", "description": "A token made on the page “You”."}
