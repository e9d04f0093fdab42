"""Who works at a base, and who may do what there; the manager hires, ends roles, gives passwords."""

from secrets import choice
from typing import Any

from axes.utils import reset
from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache

from fleet.boats.dates import spoken
from fleet.pages.desk import Desk, at_base
from fleet.pages.fields import day_field
from fleet.pages.typed import line_field, say
from fleet.people.actions import end_membership, give_password, hire
from fleet.people.facts import lasting, may_give_password, workers
from fleet.people.models import Membership, Person
from fleet.people.roles import MAY, ROLES, SKIPPER
from fleet.refused import Refused
from fleet.secret import LETTERS

TYPED_AS_IS = {"autocapitalize": "none", "spellcheck": "false"}


def role_field() -> forms.ChoiceField:
    wanted = "Role: wanted engineer, manager or office"
    return forms.ChoiceField(
        label="Role",
        choices=[("", "Choose"), *((role, role) for role in ROLES)],
        error_messages={"required": wanted, "invalid_choice": wanted},
    )


def password_field(label: str) -> forms.CharField:
    """Shown as typed, for it must be told to somebody; a good one stands there already."""
    field = line_field(
        label,
        "a password",
        most=120,
        help_text="Tell them; nobody can look it up later. They change it under “You”.",
        **TYPED_AS_IS,
    )
    field.initial = lambda: "-".join("".join(choice(LETTERS) for _ in range(4)) for _ in range(4))
    return field


class HireForm(forms.Form):
    """Somebody new and their first role."""

    name = line_field("Their name", "the name of a new person", most=120)
    login = line_field(
        "Name to sign in with",
        "a short name such as nia",
        most=60,
        help_text="Letters, digits, . _ @ + -",
        **TYPED_AS_IS,
    )
    role = role_field()
    from_on = day_field("From", "The first day they may sign in here.")
    password = password_field("Password to start with")


class RoleForm(forms.Form):
    """Another role of somebody known here; a password too, where all their roles have ended."""

    role = role_field()
    from_on = day_field("From")
    password = password_field("New password")


class EndForm(forms.Form):
    """The last day of a role."""

    until_on = day_field("Last day", "The day before today shuts them out at once.")


class PasswordForm(forms.Form):
    """A new password for somebody who lost theirs."""

    password = password_field("New password")


def who_may() -> list[dict[str, Any]]:
    """The table of who may do what, as the program goes by it."""
    columns = (*ROLES, SKIPPER)
    return [{"action": action, "may": [role in roles for role in columns]} for action, roles in MAY.items()]


@never_cache
@at_base("see", post="change people")
def people(request: HttpRequest, desk: Desk) -> HttpResponse:
    """Everybody at the base, and the table; adds somebody new."""
    form = HireForm(request.POST or None, initial={"from_on": desk.today})
    if request.method == "POST" and form.is_valid():
        try:
            new = hire(desk.base, **form.cleaned_data, at=desk.now, by=desk.person)
        except (Refused, ValidationError) as refused:
            say(form, refused)
        else:
            messages.success(request, f"{new.person.name} is {new.role} from {spoken(new.from_on)}.")
            return redirect("people", base=desk.base.code)
    everybody = workers(desk.base, desk.today)
    context = {
        "desk": desk,
        "here": "people",
        "workers": [worker for worker in everybody if not worker.ended],
        "before": [worker for worker in everybody if worker.ended],
        "may_change": desk.may("change people"),
        "form": form,
        "columns": (*ROLES, SKIPPER),
        "table": who_may(),
    }
    return render(request, "fleet/people.html", context, status=422 if form.is_bound else 200)


@never_cache
@at_base("change people")
def person(request: HttpRequest, desk: Desk, person: int) -> HttpResponse:
    """One person of the base: their roles, another role, a new password."""
    known = Person.objects.filter(memberships__base=desk.base).distinct()
    row = get_object_or_404(known, pk=person)
    held = row.memberships.filter(base=desk.base).order_by("from_on", "pk")
    what = request.POST.get("what", "")
    shown = _forms(row, desk, held, request.POST, what)
    if what in shown and shown[what].is_valid():
        try:
            messages.success(request, _change(row, what, shown[what].cleaned_data, desk))
        except (Refused, ValidationError) as refused:
            say(shown[what], refused)
        else:
            return redirect("me") if row == desk.person else redirect(request.path)
    context = {
        "desk": desk,
        "here": "people",
        "person": row,
        "roles": [(role, shown.get(f"end-{role.pk}"), shown.get(f"on-{role.pk}")) for role in held],
        "role_form": shown["role"],
        "password_form": shown.get("password"),
        "form": shown.get(what),
    }
    return render(request, "fleet/person.html", context, status=422 if what else 200)


def _forms(row: Person, desk: Desk, held: Any, data: Any, what: str) -> dict[str, forms.Form]:
    """What can be changed of this person, each form by the name its button sends."""

    def form(kind: type[forms.Form], name: str, **initial: Any) -> forms.Form:
        return kind(data if what == name else None, initial=initial, prefix=name)

    shown = {"role": form(RoleForm, "role", from_on=desk.today)}
    if lasting(row, desk.now):
        del shown["role"].fields["password"]
    if may_give_password(desk.person, row, desk.now) and row != desk.person:
        shown["password"] = form(PasswordForm, "password")
    for role in held:
        if not role.has_ended(desk.today):
            shown[f"end-{role.pk}"] = form(EndForm, f"end-{role.pk}", until_on=role.until_on or desk.today)
            if role.until_on is not None:
                shown[f"on-{role.pk}"] = form(forms.Form, f"on-{role.pk}")
    return shown


def _change(row: Person, what: str, given: dict[str, Any], desk: Desk) -> str:
    """What was done, in words."""
    now: dict[str, Any] = {"at": desk.now, "by": desk.person}
    if what == "role":
        new = hire(desk.base, login=row.login, **given, **now)
        return f"{row.name} is {new.role} from {spoken(new.from_on)}."
    if what == "password":
        give_password(row, **given, **now)
        reset(username=row.login)  # wrong passwords of before keep nobody from the new one
        return f"{row.name} has a new password. Where they were signed in they are signed out."
    membership = Membership.objects.select_related("base", "person").get(pk=what.partition("-")[2])
    left = end_membership(membership, until_on=given.get("until_on"), **now)
    if left is None:
        return f"{row.name} will not be {membership.role}."
    until = f"until {spoken(left.until_on)}" if left.until_on else "until further notice"
    return f"{row.name} is {membership.role} {until}."
