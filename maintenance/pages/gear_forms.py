"""The forms of the lists of gear: a clause, its last day, a boat that goes by a list."""

from typing import Any

from django import forms

from fleet.boats.models import Boat, Kind
from fleet.pages.desk import Desk
from fleet.pages.fields import day_field
from maintenance.pages.worded import words_field
from maintenance.safety.models import Requirement
from maintenance.safety.requiring import MOST

PER = (("boat", "for the boat"), ("person", "for each person"))


class ClauseForm(forms.Form):
    """One clause: so many of a kind of thing, and whose rule that is."""

    list = words_field("List", "the list's name, such as coastal", most=60)
    kind = forms.ModelChoiceField(
        Kind.objects.order_by("name", "pk"),
        label="Thing",
        empty_label=None,
        error_messages={
            "required": "Thing: wanted one of the kinds",
            "invalid_choice": "Thing: wanted a kind",
        },
    )
    properties = words_field(
        "What it must be", most=120, required=False, help_text="in words, where it matters"
    )
    number = forms.IntegerField(
        label="How many",
        min_value=1,
        max_value=MOST,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages=dict.fromkeys(
            ("required", "invalid", "min_value", "max_value"), f"How many: wanted a number from 1 to {MOST}"
        ),
    )
    per = forms.ChoiceField(
        label="Counted", choices=PER, error_messages={"required": "Counted: wanted for the boat or a person"}
    )
    clause = words_field("Clause", most=40, required=False, help_text="its number in the source")
    source = words_field(
        "Source", "where the list says so", most=300, help_text="the flag's code, the maker, or your own rule"
    )
    on = day_field("From")


class LastDayForm(forms.Form):
    """The last day on which something holds."""

    last = day_field("Last day it is asked for")


class AdoptForm(forms.Form):
    """A boat goes by a list from a day on."""

    boat = forms.ModelChoiceField(
        Boat.objects.none(),
        label="Boat",
        empty_label=None,
        error_messages={
            "required": "Boat: wanted a boat",
            "invalid_choice": "Boat: wanted a boat of this base",
        },
    )
    from_on = day_field("From")


def clause_form(desk: Desk, data: Any = None, row: Requirement | None = None) -> ClauseForm:
    """A new clause, or one as it stands with the day from which it is another."""
    initial: dict[str, Any] = {"on": desk.today, "per": "boat"}
    if row is not None:
        columns = ("list", "kind", "properties", "number", "per", "clause", "source")
        initial |= {name: getattr(row, name) for name in columns}
    form = ClauseForm(data, initial=initial)
    if row is not None:
        form.fields["on"].label = "Change it from"
    return form


def adopt_form(desk: Desk, data: Any = None) -> AdoptForm:
    form = AdoptForm(data, initial={"from_on": desk.today}, prefix="adopt")
    form.fields["boat"].queryset = Boat.objects.of_base(desk.base.pk, desk.today).order_by("name")  # type: ignore[attr-defined]
    return form
