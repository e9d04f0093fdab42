"""Form fields in the trade's numbers: hours, quantities, printed dates."""

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from fleet.boats.dates import DateNotClear, good_through

MOST = Decimal(10) ** 9


class NumberField(forms.Field):
    """A number as people type it: a comma or a point, spaces between thousands."""

    def __init__(self, *, wanted: str, places: int = 2, least: Decimal | None = None, **more: Any) -> None:
        self.wanted, self.places, self.least = wanted, places, least
        attrs = {"inputmode": "decimal", "autocomplete": "off", "maxlength": "30"}
        super().__init__(widget=forms.TextInput(attrs=attrs), **more)

    def to_python(self, value: Any) -> Decimal | None:
        text = "".join(str(value or "").split())[:30]
        if not text:
            return None
        try:
            plain = text.replace(",", ".") if text.count(",") == 1 and "." not in text else text
            number = Decimal(plain) if all(c in "+-.0123456789" for c in plain) else None
        except InvalidOperation:
            number = None
        if number is None or abs(number) >= MOST or (self.least is not None and number < self.least):
            raise forms.ValidationError(f"{self.label}: found “{text}”, wanted {self.wanted}")
        return round(number, self.places)


def hours_field(label: str, help_text: str = "") -> NumberField:
    """Hours on a dial. Any number is taken: one that cannot be right is asked about, not refused."""
    return NumberField(wanted="hours such as 1212.4", label=label, help_text=help_text, required=False)


def quantity_field(label: str, *, required: bool = False) -> NumberField:
    return NumberField(
        wanted="how many, such as 2 or 4.5", places=3, least=Decimal(0), label=label, required=required
    )


class PrintedDateField(forms.CharField):
    """A date as printed, kept as written; one that could mean several days is asked about."""

    def clean(self, value: Any) -> str:
        text: str = super().clean(value)
        if text:
            try:
                good_through(text)
            except DateNotClear as error:
                raise forms.ValidationError(f"{self.label}: {error}") from error
        return text


def day_field(label: str, help_text: str = "", *, required: bool = True) -> forms.DateField:
    return forms.DateField(
        label=label,
        help_text=help_text,
        required=required,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        input_formats=["%Y-%m-%d"],
        error_messages={
            "invalid": f"{label}: wanted a day such as 2026-05-30",
            "required": f"{label}: wanted a day",
        },
    )


def faults_of(form: forms.Form) -> str:
    """Everything wrong with a form, in one line."""
    return " ".join(str(error) for errors in form.errors.values() for error in errors)
