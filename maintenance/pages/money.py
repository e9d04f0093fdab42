"""A price as people type it, and sums of money as a page says them."""

import re
from decimal import Decimal
from typing import Any

from django import forms

from maintenance.ordering.money import Money
from maintenance.pages.fields import NumberField

MOST = Decimal(10) ** 8
PLACES = 4
# 1.250 is a thousand and more to some, a little over one to others.
UNCLEAR = re.compile(r"[1-9]\d{0,2}[.,]\d{3}")
CURRENCY = re.compile(r"[A-Z]{3}")


class PriceField(NumberField):
    """What one costs: a number, and its currency before or after it where it is not the base's."""

    def __init__(self, *, currency: str, label: str, **more: Any) -> None:
        wanted = f"a price such as 12.50, or 12.50 {currency}"
        super().__init__(wanted=wanted, places=PLACES, least=Decimal(0), most=MOST, label=label, **more)
        self.currency = currency

    def to_python(self, value: Any) -> Any:
        text = str(value or "").upper().strip()
        letters = "".join(re.findall(r"[^\W\d_]+", text))
        number = text.replace(letters, "", 1).strip() if letters else text
        if not text:
            return None
        if letters and not CURRENCY.fullmatch(letters):
            said = f"{self.label}: found “{text[:30]}”, wanted {self.wanted}"
            raise forms.ValidationError(said)
        if UNCLEAR.fullmatch(number):
            digits = re.sub(r"[.,]", "", number)
            near = f"{digits} or {number.replace(',', '.')}0"
            raise forms.ValidationError(f"{self.label}: “{number}” may be two prices, wanted {near}")
        amount = super().to_python(number)
        if amount is None:
            raise forms.ValidationError(f"{self.label}: found “{text[:30]}”, wanted {self.wanted}")
        return Money(amount, letters or self.currency)

    def prepare_value(self, value: Any) -> Any:
        return typed(value) if isinstance(value, Money) else value


def typed(money: Money) -> str:
    """A price as it is typed again: 12.50 EUR; of its parts of a cent, as many as it has."""
    amount = money.amount.quantize(Decimal("0.01"))
    exact = amount if amount == money.amount else money.amount.normalize()
    return f"{exact:f} {money.currency}"


def each(money: Money | None) -> str:
    """What one costs, in words: 12.50 EUR each."""
    return "no price known" if money is None else f"{typed(money)} each"
