"""A day and an hour by the base's clock, typed in one field."""

from datetime import datetime
from typing import Any

from django import forms

FORM = "%Y-%m-%dT%H:%M"


class MomentField(forms.DateTimeField):
    """An hour the clock shows twice, or not at all, in a night of change is asked for again."""

    def to_python(self, value: Any) -> datetime | None:
        try:
            return super().to_python(value)
        except forms.ValidationError as wrong:
            if wrong.code == "ambiguous_timezone":
                text = f"{self.label}: wanted another hour, the clock changes in that one"
                raise forms.ValidationError(text) from wrong
            raise


def moment_field(label: str, wanted: str, help_text: str = "", *, required: bool = True) -> MomentField:
    """A moment; `wanted` says what is to stand there."""
    text = f"{label}: wanted {wanted}"
    return MomentField(
        label=label,
        help_text=help_text,
        required=required,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format=FORM),
        input_formats=[FORM, "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
        error_messages={"invalid": f"{text}, such as 2026-05-30 14:00", "required": text},
    )
