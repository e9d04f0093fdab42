"""What a base says of its money, on the page of its rules: its currency and three costs."""

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from fleet.bases.costs import SaidOfMoney, say_money
from fleet.bases.models import Base
from fleet.pages.desk import Desk
from fleet.pages.typed import line_field, say
from maintenance.ordering.holding import SEASON, plain
from maintenance.pages.fields import NumberField

MOST = Decimal(10) ** 9
MISSED = (
    "what goes wrong where a part is missing when a boat is to leave: the more it is, the more are held. "
    "It goes before the plain rule only for a part whose price is known, after "
    f"{SEASON} days of use were recorded"
)
ORDER = "freight and the hour at the desk, for one order: the more it is, the more are ordered at a time"
HOLDING = "a year on the shelf, in percent of the price: the more it is, the fewer are ordered at a time"


class MoneyForm(forms.Form):
    """Each with one sentence of what it does; blank: not said."""

    currency = line_field(
        "Currency",
        "three capital letters such as EUR",
        most=3,
        help_text="of the costs below, and of a price typed without one; nothing is ever converted",
    )
    missed_saturday = NumberField(
        label="A part missing on a Saturday costs",
        wanted="an amount from 1, such as 400",
        least=Decimal(1),
        most=MOST,
        required=False,
        help_text=MISSED,
    )
    order_cost = NumberField(
        label="An order costs, beside its parts",
        wanted="an amount such as 25",
        least=Decimal(0),
        most=MOST,
        required=False,
        help_text=ORDER,
    )
    holding_percent = NumberField(
        label="Percent a year on the shelf",
        wanted="a number from 0 to 100, such as 20",
        least=Decimal(0),
        most=Decimal("100.01"),
        required=False,
        help_text=HOLDING,
    )

    def clean_currency(self) -> str:
        return str(self.cleaned_data["currency"]).upper()


def money_form(base: Base, data: Any = None) -> MoneyForm:
    """As the base has it, or as it was typed."""
    said = {name: getattr(base, name) for name in MoneyForm.base_fields}
    initial = {name: plain(v) if isinstance(v, Decimal) else v for name, v in said.items()}
    return MoneyForm(data, prefix="money", initial=initial)


def kept(request: HttpRequest, form: MoneyForm, desk: Desk) -> bool:
    """Whether what was typed is kept."""
    if not form.is_valid():
        return False
    try:
        changed = say_money(desk.base, SaidOfMoney(**form.cleaned_data))
    except ValidationError as wrong:
        say(form, wrong)
        return False
    messages.success(request, "What the base says of its money is kept." if changed else "Nothing changed.")
    return True
