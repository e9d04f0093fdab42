"""A line of text as people type it, and a refusal said at the field it is about."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fleet.refused import Refused


def line_field(label: str, wanted: str, *, most: int, help_text: str = "", **attrs: str) -> forms.CharField:
    """A line of text; `wanted` says what is to stand there."""
    return forms.CharField(
        label=label,
        max_length=most,
        help_text=help_text,
        widget=forms.TextInput(attrs={"autocomplete": "off"} | attrs),
        error_messages={
            "required": f"{label}: wanted {wanted}",
            "max_length": f"{label}: wanted at most {most} letters",
        },
    )


def say(form: forms.Form, refused: Refused | ValidationError) -> None:
    """Puts a refusal to the field it is about, by its label, or to the whole form."""
    for name, texts in _by_field(refused).items():
        field: Any = form.fields.get(name)
        for text in texts:
            form.add_error(name if field else None, f"{field.label}: {text}" if field else text)


def _by_field(refused: Refused | ValidationError) -> dict[str, list[str]]:
    if isinstance(refused, Refused):
        return {refused.field: [refused.wanted]}
    return refused.message_dict if hasattr(refused, "error_dict") else {"": refused.messages}
