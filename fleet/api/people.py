"""Who works at one's bases as what, and the tokens of one's own programs."""

from collections.abc import Sequence
from datetime import date
from typing import Any

import django_filters as filters
from django.contrib.auth import authenticate
from django.core.exceptions import PermissionDenied
from django.db.models import QuerySet
from rest_framework import exceptions, serializers
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response

from fleet.api.fields import Body, Day, OneOf, Ref, Text
from fleet.api.filters import code
from fleet.api.registers import Register
from fleet.api.shapes import CodeOf, Shape
from fleet.api.tables import Table
from fleet.bases.models import Base
from fleet.people.actions import end_membership, hire, make_token, revoke_token
from fleet.people.models import Membership, Person, Token
from fleet.people.roles import ROLES


class MembershipShape(Shape):
    person = CodeOf("person.name")
    base = CodeOf("base.code")

    class Meta:
        model = Membership
        fields = ("id", "person", "base", "role", "from_on", "until_on")


class HireBody(Body):
    """Somebody new, or another role for one the base knows."""

    base = Ref(lambda caller: Base.objects.filter(pk__in=caller.bases), help_text="the base's code")
    login = Text(max_length=60)
    name = Text(max_length=120, required=False, default="", help_text="of somebody new")
    password = Text(max_length=200, required=False, default="", trim_whitespace=False)
    role = OneOf(choices=ROLES)
    from_on = Day(required=False, help_text="today unless told")


class EndBody(Body):
    until_on = Day(allow_null=True, help_text="the last day, that day counted; null takes the end back")


class MembershipFilter(filters.FilterSet):
    base = code("base__code", "at this base")
    role = filters.ChoiceFilter(choices=[(r, r) for r in ROLES], label="in this role")


class Memberships(Register):
    """Who works at your bases, as what, since and until when; a manager adds and ends."""

    shape, takes, filterset_class = MembershipShape, HireBody, MembershipFilter
    changes = EndBody
    may_vanish = True  # a role that is ended before its first day never was
    needs = {"GET": "see", "POST": "change people", "PATCH": "change people"}

    def rows(self) -> QuerySet[Membership]:
        return Membership.objects.filter(base__in=self.caller.bases)

    def base_of(self, row: Membership) -> int:
        return row.base_id

    def add(self, given: dict[str, Any]) -> Membership:
        base = given.pop("base")
        self.allow_at(base.pk)
        from_on: date = given.pop("from_on", None) or self.caller.today(base.pk)
        return hire(base, from_on=from_on, at=self.caller.now, by=self.caller.person, **given)

    def change(self, row: Membership, given: dict[str, Any]) -> None:
        if "until_on" not in given:
            raise serializers.ValidationError({"until_on": ["wanted: it was not given"]})
        end_membership(row, until_on=given["until_on"], **self.when)


class TokenShape(Shape):
    class Meta:
        model = Token
        fields = ("id", "name", "made_at", "revoked_at")


class TokenMade(serializers.Serializer):
    """A token and its secret, which is shown this once."""

    id = serializers.IntegerField()
    name = serializers.CharField()
    secret = serializers.CharField()


class TokenBody(Body):
    """What the token is for; login and password where one is not signed in."""

    name = Text(max_length=60)
    login = Text(max_length=60, required=False)
    password = Text(max_length=200, required=False, trim_whitespace=False)


class Tokens(Table):
    """Your programs' tokens: made with your login and password, or once you are signed in."""

    shape, takes = TokenShape, TokenBody
    gives = {"create": TokenMade}
    more_problems = {"create": (429,)}
    needs: dict[str, str] = {}  # one's own, whatever one's roles
    http_method_names = ("get", "post", "delete", "head", "options")

    def get_permissions(self) -> Sequence[Any]:
        return [AllowAny()] if self.request.method == "POST" else super().get_permissions()

    def rows(self) -> QuerySet[Token]:
        return Token.objects.filter(person=self.request.user.pk)

    def create(self, request: Request) -> Response:
        given = self.body(TokenBody, request.data, anonymous=True).validated_data
        person = self._person(request, given)
        token, secret = make_token(person, name=given["name"], at=self.moment)
        return Response({"id": token.pk, "name": token.name, "secret": secret}, status=201)

    def destroy(self, request: Request, pk: str) -> Response:
        revoke_token(self.one(pk), at=self.moment)
        return Response(status=204)

    def _person(self, request: Request, given: dict[str, Any]) -> Person:
        if "login" not in given:
            if isinstance(request.user, Person) and request.auth is None:
                return request.user
            if request.auth is not None:  # a token that leaked must not make another that outlives it
                raise PermissionDenied("login")
            raise exceptions.NotAuthenticated("login: wanted with password, or sign in first")
        django_request: Any = request._request
        person = authenticate(django_request, username=given["login"], password=given.get("password", ""))
        if getattr(django_request, "axes_locked_out", False):
            django_request.axes_locked_out = False  # said here as a problem, not as a page
            raise exceptions.Throttled(600, "Ten wrong passwords for this name: wait ten minutes")
        if not isinstance(person, Person):
            raise exceptions.AuthenticationFailed("login, password: not known together")
        return person
