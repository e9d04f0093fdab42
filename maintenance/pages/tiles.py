"""Choices as large tiles to tap, each with a plain line of what it means."""

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms


class TilesInput(forms.RadioSelect):
    """One of a few, as tiles; `means` says a line for each value."""

    template_name = "maintenance/tiles.html"

    def __init__(self, means: Mapping[str, str], wide: bool) -> None:
        super().__init__()
        self.means, self.wide = means, wide

    def create_option(self, name: str, value: Any, *args: Any, **more: Any) -> dict[str, Any]:
        option = super().create_option(name, value, *args, **more)
        return option | {"means": self.means.get(str(value), "")}

    def get_context(self, name: str, value: Any, attrs: Any) -> dict[str, Any]:
        return super().get_context(name, value, attrs) | {"wide": self.wide}


def tiles_field(
    label: str,
    choices: Iterable[tuple[str, str]],
    wanted: str,
    *,
    means: Mapping[str, str] | None = None,
    help_text: str = "",
    required: bool = True,
    wide: bool = False,
) -> forms.ChoiceField:
    """One of a few; `wanted` says what is to be tapped, `wide` gives each tile a row of its own."""
    said = f"{label}: wanted {wanted}"
    return forms.ChoiceField(
        label=label,
        choices=list(choices),
        help_text=help_text,
        required=required,
        widget=TilesInput(means or {}, wide),
        error_messages={"required": said, "invalid_choice": said},
    )
