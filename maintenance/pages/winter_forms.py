"""The forms of a boat's winter, each with the action it is for."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.http import HttpRequest

from fleet.boats.models import Boat, BoatTerms
from fleet.ledger import once
from fleet.pages.desk import Desk
from fleet.pages.fields import day_field
from maintenance.pages.fields import sent_id
from maintenance.pages.worded import name_field, words_field
from maintenance.release.laying_up import begin_fitting_out, lay_up, sign_fitting_out
from maintenance.release.models import FittingOut


class LayUpForm(forms.Form):
    """From which day she is laid up; it may be to come."""

    on = day_field("Lay up from", "a day to come as well")


class BeginForm(forms.Form):
    """From which day she is made ready."""

    on = day_field("Fitting-out from")


class SignForm(forms.Form):
    """Who says that she was made ready, and what is to be known of it."""

    who = name_field("Signed by")
    words = words_field("What was done, what is left", most=1000, rows=3, required=False)


FORMS: dict[str, type[forms.Form]] = {"lay-up": LayUpForm, "begin": BeginForm, "sign": SignForm}


def form_of(name: str, desk: Desk, data: Any = None) -> forms.Form:
    """One form, filled in with what is most likely."""
    initial = {"on": desk.today, "who": desk.person.name}
    return FORMS[name](data, initial=initial, prefix=name)


def keep(what: str, form: forms.Form, boat: Boat, desk: Desk, request: HttpRequest) -> None:
    """Does what a form is for; sent twice it is done once."""
    given, sent = form.cleaned_data, sent_id(request.POST)
    who: dict[str, Any] = {"at": desk.now, "by": desk.person, "client_id": sent}
    rows: Any = FittingOut if what == "sign" else BoatTerms
    acts: dict[str, Callable[[], Any]] = {
        "lay-up": lambda: lay_up(boat, given["on"], **who),
        "begin": lambda: begin_fitting_out(boat, given["on"], **who),
        "sign": lambda: sign_fitting_out(boat, given["who"], given["words"], on=desk.today, **who),
    }
    once(lambda: rows.objects.filter(boat=boat, client_id=sent or "").first(), acts[what])
