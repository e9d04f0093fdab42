"""The person signed in: where they work, their password, the tokens of their programs."""

from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.contrib import messages
from django.contrib.auth import authenticate, update_session_auth_hash
from django.contrib.auth.decorators import login_required
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.cache import never_cache

from fleet.bases.models import Base
from fleet.pages.typed import line_field, say
from fleet.people.actions import PeopleRefused, give_password, make_token, revoke_token
from fleet.people.facts import lasting
from fleet.people.models import Membership, Person
from fleet.refused import Refused


def hidden_field(label: str, complete: str) -> forms.CharField:
    return forms.CharField(
        label=label,
        strip=False,
        max_length=120,
        widget=forms.PasswordInput(attrs={"autocomplete": complete}),
        error_messages={
            "required": f"{label}: wanted your password",
            "max_length": f"{label}: wanted at most 120 letters",
        },
    )


class OwnPasswordForm(forms.Form):
    """One's own password, the old one asked for."""

    old = hidden_field("Password until now", "current-password")
    password = hidden_field("New password", "new-password")
    again = hidden_field("New password once more", "new-password")

    def clean_again(self) -> str:
        again: str = self.cleaned_data["again"]
        if again != self.cleaned_data.get("password", again):
            raise ValidationError("New password once more: wanted the same as above")
        return again


class TokenForm(forms.Form):
    """What a new token is for."""

    name = line_field("What it is for", "a word for the program, such as calendar", most=60)


@never_cache
@login_required
def me(request: HttpRequest) -> HttpResponse:
    """Who I am here, and what I can change of it."""
    person, now = request.user, timezone.now()
    assert isinstance(person, Person)
    places = _places(person, now)
    timezone.activate(ZoneInfo(places[0]["base"].timezone if places else "UTC"))
    what = request.POST.get("what", "")
    secret = None
    if what == "revoke":
        return _revoke(request, person)
    shown = {name: kind(request.POST if what == name else None) for name, kind in FORMS.items()}
    if what in shown and shown[what].is_valid():
        try:
            secret = ACTS[what](request, person, shown[what])
        except (Refused, ValidationError) as refused:
            say(shown[what], refused)
        else:
            if secret is None:
                return redirect("me")
            shown[what] = FORMS[what]()
    context = {
        "places": places,
        "tokens": person.tokens.filter(revoked_at__isnull=True).order_by("made_at", "pk"),
        "secret": secret,
        "forms": shown,
        "form": shown.get(what),
    }
    return render(request, "fleet/me.html", context, status=422 if what and secret is None else 200)


def _places(person: Person, now: datetime) -> list[dict[str, Any]]:
    """The bases one works at or will, each with one's roles there."""
    held: dict[Base, list[Membership]] = {}
    for role in lasting(person, now):
        held.setdefault(role.base, []).append(role)
    return [
        {
            "base": base,
            "today": base.day_of(now),
            "roles": roles,
            "here": any(role.from_on <= base.day_of(now) for role in roles),
        }
        for base, roles in held.items()
    ]


def _new_password(request: HttpRequest, person: Person, form: forms.Form) -> None:
    """The old one is asked by the way of the front door, where wrong ones are counted."""
    if authenticate(request, username=person.login, password=form.cleaned_data["old"]) != person:
        raise PeopleRefused("old: this is not it")
    give_password(person, password=form.cleaned_data["password"], at=timezone.now(), by=person)
    update_session_auth_hash(request, person)
    messages.success(request, "Your password is changed. Wherever else you were signed in, you are out.")


def _new_token(request: HttpRequest, person: Person, form: forms.Form) -> str:
    return make_token(person, name=form.cleaned_data["name"], at=timezone.now())[1]


def _revoke(request: HttpRequest, person: Person) -> HttpResponse:
    given = request.POST.get("token", "")
    token = get_object_or_404(person.tokens, pk=given if given.isdecimal() and len(given) < 19 else 0)
    revoke_token(token, at=timezone.now())
    messages.success(request, f"The token “{token.name}” opens nothing any more.")
    return redirect("me")


FORMS: dict[str, type[forms.Form]] = {"password": OwnPasswordForm, "token": TokenForm}
ACTS: dict[str, Any] = {"password": _new_password, "token": _new_token}
