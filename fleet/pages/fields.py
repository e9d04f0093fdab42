"""Form fields of the fleet's pages: a day, one paper, several photos at once."""

from django import forms

from fleet.pages.uploads import PaperField, PhotosField

__all__ = ["PaperField", "PhotosField", "day_field"]


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
