"""The form of what came of an order, line by line: how many, onto which shelf, what is written on it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from fleet.bases.models import Base
from fleet.boats.models import Place
from maintenance.ordering.actions import Came, LineRefused
from maintenance.ordering.asking import usual_shelves
from maintenance.ordering.holding import plain
from maintenance.ordering.orders import Line
from maintenance.pages.fields import day_field, quantity_field
from maintenance.pages.worded import words_field
from maintenance.spares.lots import Marked

# The fields of a line that a refusal may be about, by the name the action has for them.
ABOUT = {"quantity": "quantity", "to_place": "place", "mark": "mark", "serial": "serial", "lot": "mark"}


@dataclass(frozen=True, slots=True)
class Row:
    """A line's fields as the page shows them."""

    line: Line
    quantity: BoundField
    place: BoundField
    marks: tuple[BoundField, ...]
    open: bool


class CameForm(forms.Form):
    """What came on a day; a blank number: nothing of that part did."""

    day = day_field("Came on")

    def __init__(self, base: Base, lines: Sequence[Line], today: date, data: Any = None) -> None:
        super().__init__(data, prefix="came", initial={"day": today})
        self._lines = lines
        rows = Place.objects.filter(base=base).exclude(sort=Place.Sort.ASTRAY).select_related("parent")
        shelves = sorted(rows, key=str)
        usual = usual_shelves({line.row.spare_id for line in lines}, shelves, on=today)
        choices = [("", "choose a shelf"), *((str(place.pk), str(place)) for place in shelves)]
        self._shelves = {str(place.pk): place for place in shelves}
        for line in lines:
            self._add(line, choices, usual.get(line.row.spare_id))

    def _add(self, line: Line, choices: list[tuple[str, str]], usual: Place | None) -> None:
        key, called = line.row.pk, line.row.spare.name
        self.fields[f"quantity-{key}"] = quantity_field(f"How many {called} came")
        self.fields[f"place-{key}"] = forms.ChoiceField(
            label=f"Shelf for {called}",
            choices=choices,
            required=False,
            error_messages={"invalid_choice": f"Shelf for {called}: wanted a shelf of this base"},
        )
        self.initial[f"place-{key}"] = str(usual.pk) if usual else ""
        self.fields[f"mark-{key}"] = words_field(f"Lot mark of {called}", most=80, required=False)
        self.fields[f"serial-{key}"] = words_field(
            f"Serial number of {called}", most=80, required=False, help_text="of a single unit"
        )
        self.fields[f"expires_on-{key}"] = day_field(f"Last day {called} is good", required=False)

    @property
    def rows(self) -> list[Row]:
        return [self._row(line) for line in self._lines]

    def _row(self, line: Line) -> Row:
        key = line.row.pk
        marks = tuple(self[f"{name}-{key}"] for name in ("mark", "serial", "expires_on"))
        told = self.is_bound and any(mark.value() or mark.errors for mark in marks)
        return Row(line, self[f"quantity-{key}"], self[f"place-{key}"], marks, told)

    def fill_in(self) -> None:
        """All of it came, as ordered: what was left blank is what was still to come."""
        data = {name: self.data[name] for name in self.data}
        for line in self._lines:
            name = self.add_prefix(f"quantity-{line.row.pk}")
            if line.asked.waits and not data.get(name, "").strip():
                data[name] = plain(line.asked.waits)
        self.data = data

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for line in self._lines:
            key = line.row.pk
            number, name = cleaned.get(f"quantity-{key}"), f"place-{key}"
            if number and not cleaned.get(name) and name not in self.errors:
                self.add_error(name, f"{self.fields[name].label}: wanted a shelf to put it on")
            marked = any(cleaned.get(f"{mark}-{key}") for mark in ("mark", "serial", "expires_on"))
            if marked and not number and f"quantity-{key}" not in self.errors:
                label = self.fields[f"quantity-{key}"].label
                self.add_error(f"quantity-{key}", f"{label}: wanted a number, for its marks are given")
        return cleaned

    def came(self) -> Iterator[Came]:
        given = self.cleaned_data
        for line in self._lines:
            key = line.row.pk
            if number := given[f"quantity-{key}"]:
                marked = Marked(given[f"mark-{key}"], given[f"serial-{key}"], given[f"expires_on-{key}"])
                yield Came(line.row, number, self._shelves[given[f"place-{key}"]], marked)

    def say(self, wrong: LineRefused) -> None:
        """Puts what is wrong with one line to the field of that line."""
        name = f"{ABOUT.get(wrong.field, 'quantity')}-{wrong.line.pk}"
        if wrong.field == "day":
            name = "day"
        self.add_error(name, f"{self.fields[name].label}: {wrong.about}")
