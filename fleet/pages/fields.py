"""Form fields of the fleet's pages: a day, a line of words, papers; and how a refusal is said."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from fleet.pages.uploads import PaperField, PhotosField
from fleet.refused import Refused

__all__ = ["PaperField", "PhotosField", "day_field", "line_field", "say"]


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


def line_field(label: str, wanted: str, *, most: int, help_text: str = "", **attrs: Any) -> forms.CharField:
    """A line of words; `wanted` says what is asked for where it is left blank."""
    return forms.CharField(
        label=label,
        help_text=help_text,
        max_length=most,
        widget=forms.TextInput(attrs=attrs),
        error_messages={
            "required": f"{label}: wanted {wanted}",
            "max_length": f"{label}: wanted at most {most} letters",
        },
    )


def say(form: forms.Form, refused: Refused | ValidationError) -> None:
    """Puts what an action refused beside the field it names, or over the form where it names none."""
    if isinstance(refused, ValidationError):
        faults = refused.message_dict if hasattr(refused, "error_dict") else {"": refused.messages}
    else:
        faults = {refused.field: [refused.wanted]}
    for name, texts in faults.items():
        known = name in form.fields
        for text in texts:
            form.add_error(name if known else None, f"{form.fields[name].label}: {text}" if known else text)
