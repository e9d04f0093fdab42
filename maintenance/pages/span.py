"""From which day to which somebody asks, both counted; this year until today where nothing is said."""

from datetime import date
from typing import Any

from django import forms
from django.http import HttpRequest

from maintenance.pages.fields import day_field

EARLIEST, LATEST = date(2000, 1, 1), date(2099, 12, 31)


class SpanForm(forms.Form):
    """Two days; the second is not before the first."""

    since = day_field("From")
    until = day_field("Until")

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        since, until = cleaned.get("since"), cleaned.get("until")
        for name, found in (("since", since), ("until", until)):
            if found is not None and not EARLIEST <= found <= LATEST:
                self.add_error(name, f"{self.fields[name].label}: wanted a day from 2000 to 2099")
        if since and until and until < since:
            self.add_error("until", "Until: wanted the first day, or a later one")
        return cleaned

    @property
    def span(self) -> tuple[date, date]:
        """The days asked about; those shown at first where what was typed cannot be."""
        if self.is_valid():
            return self.cleaned_data["since"], self.cleaned_data["until"]
        first: tuple[date, date] = (self.initial["since"], self.initial["until"])
        return first


def span_form(request: HttpRequest, today: date) -> SpanForm:
    """As it was asked; what was not typed is this year's."""
    usual = {"since": today.replace(month=1, day=1), "until": today}
    given = {name: request.GET.get(name) or usual[name] for name in usual}
    return SpanForm(given, initial=usual)
