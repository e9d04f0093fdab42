"""Form fields in the trade's numbers: hours, quantities, printed dates."""

import re
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from hashlib import sha256
from typing import Any

from django import forms
from django.utils.translation import gettext

from fleet.boats.dates import DateNotClear, good_through
from fleet.pages.fields import day_field as day_field

MOST = Decimal(10) ** 9
MOST_PARTS = Decimal(10) ** 7
ID_LENGTH = 64
ID_DIGITS = 18


class NumberField(forms.Field):
    """A number as people type it: a comma or a point, spaces between thousands."""

    def __init__(
        self,
        *,
        wanted: str,
        places: int = 2,
        least: Decimal | None = None,
        most: Decimal = MOST,
        **more: Any,
    ) -> None:
        self.wanted, self.places, self.least, self.most = wanted, places, least, most
        more["error_messages"] = {"required": f"{more['label']}: wanted {wanted}"}
        attrs = {"inputmode": "decimal", "maxlength": "30"}
        super().__init__(widget=forms.TextInput(attrs=attrs), **more)

    def to_python(self, value: Any) -> Decimal | None:
        text = "".join(str(value or "").split())[:30].rstrip("hH")  # 3 231,4 h
        if not text:
            return None
        try:
            plain = _plain(text, self.places)
            number = Decimal(plain) if all(c in "+-.0123456789" for c in plain) else None
        except InvalidOperation:
            number = None
        if number is None or abs(number) >= self.most or (self.least is not None and number < self.least):
            said = gettext("%(label)s: found “%(text)s”, wanted %(wanted)s")
            raise forms.ValidationError(said % {"label": self.label, "text": text, "wanted": self.wanted})
        return round(number, self.places) + 0  # no minus nothing


def _plain(text: str, places: int) -> str:
    """A number with a point for its decimals: 3.890,5 and 3,890.5 have thousands marked."""
    if places < 3 and re.fullmatch(r"[-+]?\d{1,3}([.,]\d{3})+", text):
        return text.replace(".", "").replace(",", "")  # 1,212 h: no dial shows thousandths
    if re.fullmatch(r"[-+]?\d{1,3}(\.\d{3})+,\d+", text):
        text = text.replace(".", "")
    if re.fullmatch(r"[-+]?\d{1,3}(,\d{3})+\.\d+", text):
        return text.replace(",", "")
    return text.replace(",", ".") if text.count(",") == 1 and "." not in text else text


def hours_field(label: str, help_text: str = "") -> NumberField:
    """Hours on a dial. Any number is taken: one that cannot be right is asked about, not refused."""
    return NumberField(
        wanted=gettext("hours such as 1212.4"), label=label, help_text=help_text, required=False
    )


def quantity_field(label: str, *, required: bool = False) -> NumberField:
    return NumberField(
        wanted=gettext("how many, such as 2 or 4.5"),
        places=3,
        least=Decimal(0),
        most=MOST_PARTS,
        label=label,
        required=required,
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


def row_number(text: str) -> int | None:
    """The key of a row as an address or a form gives it; None for what can be none."""
    return int(text) if text.isdecimal() and len(text) <= ID_DIGITS else None


def sent_id(data: Mapping[str, str]) -> str | None:
    """The id a form was given when it was opened; one that fits no column is told by its digest."""
    given = data.get("client_id", "")
    if len(given) <= ID_LENGTH and given.isprintable():
        return given or None
    return sha256(given.encode("utf-8", "replace")).hexdigest()


def faults_of(form: forms.Form) -> str:
    """Everything wrong with a form, in one line."""
    return " ".join(str(error) for errors in form.errors.values() for error in errors)
