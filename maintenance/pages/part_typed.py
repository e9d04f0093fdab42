"""Which part somebody means who types its code, its number or words of its name."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.db.models import Q

from maintenance.spares.models import Spare

FEW = 5


class PartField(forms.CharField):
    """One part, by its code, its part number or its name, or by words that only its name has."""

    def __init__(self, *, label: str = "Part", **more: Any) -> None:
        said = {"max_length": f"{label}: wanted up to 120 letters"}
        widget = forms.TextInput(attrs={"autocomplete": "off"})
        super().__init__(label=label, max_length=120, widget=widget, error_messages=said, **more)

    def clean(self, value: Any) -> Any:
        text = super().clean(value).strip()
        return _meant(text, self._refuse) if text else None

    def _refuse(self, text: str) -> forms.ValidationError:
        return forms.ValidationError(f"{self.label}: {text}")


def _meant(text: str, refuse: Callable[[str], forms.ValidationError]) -> Spare:
    """The one part meant; a refusal that names a few where several could be."""
    exact = Q(code__iexact=text) | Q(part_number__iexact=text) | Q(name__iexact=text)
    found = list(Spare.objects.filter(exact).order_by("name", "code")[: FEW + 1])
    if not found:
        words = Q()
        for word in text.split():
            words &= Q(name__icontains=word) | Q(part_number__icontains=word) | Q(maker__icontains=word)
        found = list(Spare.objects.filter(words).order_by("name", "code")[: FEW + 1])
    if not found:
        raise refuse(f"found no “{text}”, wanted a part's code, its number or words of its name")
    if len(found) > 1:
        some = "; ".join(f"{part.name} {part.part_number} (code {part.code})" for part in found[:FEW])
        more = " and others" if len(found) > FEW else ""
        raise refuse(f"“{text}” may be {some}{more}: wanted the code of one")
    return found[0]
