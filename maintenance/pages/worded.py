"""A field for words, short or long, which says what is wanted where there are none or too many."""

from typing import Any

from django import forms


def words_field(
    label: str, wanted: str = "a few words", *, most: int = 500, rows: int = 0, **more: Any
) -> forms.CharField:
    """A line to write on, or so many rows."""
    widget = forms.Textarea(attrs={"rows": rows, "dir": "auto"}) if rows else forms.TextInput()
    return forms.CharField(
        label=label,
        max_length=most,
        widget=widget,
        error_messages={
            "required": f"{label}: wanted {wanted}",
            "max_length": f"{label}: wanted up to {most} letters",
            "null_characters_not_allowed": f"{label}: wanted letters and figures only",
        },
        **more,
    )


def name_field(label: str, **more: Any) -> forms.CharField:
    """A person's name, typed or as the page has it."""
    return words_field(label, "a name", most=120, **more)
