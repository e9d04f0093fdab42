"""A field for words in any script, as the skipper's forms have it."""

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext, ngettext

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise  # the stubs alone have it


class WordsField(forms.CharField):
    """Words in any script, a line break one letter; what no keyboard types is left out."""

    def __init__(
        self, label: "str | _StrPromise", most: int, *, rows: int = 0, required: bool = False, **more: Any
    ) -> None:
        attrs = {"dir": "auto"} | ({"rows": rows} if rows else {})
        widget = forms.Textarea(attrs=attrs) if rows else forms.TextInput(attrs=attrs)
        super().__init__(label=label, required=required, widget=widget, max_length=most, **more)
        self.validators = [self._short_enough]

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        """No length for the browser: it would cut what is too long, and say nothing. The phone's own
        script counts as we do, and says what is wanted."""
        return {"data-most": self.max_length} | ({"data-wanted": ""} if self.required else {})

    def to_python(self, value: Any) -> str:
        text = str(value or "").replace("\r\n", "\n").replace("\0", "")
        return text.strip()

    def validate(self, value: str) -> None:
        if self.required and not value:
            raise forms.ValidationError(gettext("%(label)s: wanted a few words") % {"label": self.label})

    def _short_enough(self, text: str) -> None:
        most = self.max_length or 0
        if len(text) > most:
            said = ngettext(
                "%(label)s: wanted up to %(most)d letter, found %(found)d",
                "%(label)s: wanted up to %(most)d letters, found %(found)d",
                most,
            )
            raise forms.ValidationError(said % {"label": self.label, "most": most, "found": len(text)})
