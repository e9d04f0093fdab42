"""The rows of a form that say which spares were used, and from which store or locker."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from fleet.boats.facts import places_of
from fleet.boats.models import Boat, Place
from maintenance.pages.fields import quantity_field
from maintenance.planning.taking import Take, place_of
from maintenance.spares.actions import SpareUsed
from maintenance.spares.models import Spare


@dataclass(frozen=True, slots=True)
class PartRow:
    """One row as the page shows it."""

    quantity: BoundField
    spare: Any
    place: BoundField
    fields: tuple[BoundField, ...]
    begins_more: bool = False
    ends_more: bool = False


def _called(spare: Spare) -> str:
    unit = f", {spare.unit}" if spare.unit not in ("", "each") else ""
    return f"{spare.name} {spare.part_number}".rstrip() + unit


def _name(take: Take) -> str:
    """A row keeps the name of its spare, also where a task before it is no longer ticked."""
    return f"take-{take.spare.pk}"


class PartsForm(forms.Form):
    """A form with rows for spares: those a job takes filled in, and blank ones for others."""

    blank_rows = 3
    shown_blank = 0  # blank rows that need no tap to be seen
    kit_first = False  # whether a part nobody placed came from the boat's own kit before the store
    more_parts = "Another part"

    def add_parts(self, boat: Boat, on: date, takes: Sequence[Take] = ()) -> None:
        places = places_of([boat.pk], on=on).get(boat.pk, [])
        if self.kit_first:
            places = sorted(places, key=lambda place: place.boat_id is None)
        self._places = {str(place.pk): place for place in places}
        self._spares = {str(spare.pk): spare for spare in Spare.objects.order_by("name")}
        self._taken = list(takes)
        for take in takes:
            self._add_row(_name(take), f"How many {take.spare.name}", take.quantity, take.place)
        for n in range(self.blank_rows):
            self._add_row(f"more{n}", "How many of another part", None, None)
            self.fields[f"more{n}-spare"] = self._choice(self._spares, "Part", "choose a part")

    def _add_row(self, name: str, label: str, quantity: Decimal | None, place: Place | None) -> None:
        self.fields[f"{name}-quantity"] = quantity_field(label)
        self.fields[f"{name}-place"] = self._choice(self._places, "From", "where the book has it")
        if quantity is not None:
            self.initial[f"{name}-quantity"] = f"{quantity.normalize():f}"
        self.initial[f"{name}-place"] = str(place.pk) if place else ""

    def _choice(self, rows: dict[str, Any], label: str, blank: str) -> forms.ChoiceField:
        choices = [("", blank), *((pk, str(row)) for pk, row in rows.items())]
        widget = forms.Select(attrs={} if label == "From" else {"aria-label": label})
        return forms.ChoiceField(choices=choices, required=False, label=label, widget=widget)

    def _names(self) -> Iterator[tuple[str, Spare | None]]:
        for take in self._taken:
            yield _name(take), take.spare
        for n in range(self.blank_rows):
            yield f"more{n}", None

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name, spare in self._names():
            quantity = cleaned.get(f"{name}-quantity")
            chosen = spare or self._spares.get(cleaned.get(f"{name}-spare") or "")
            if quantity and not self._places:
                self.add_error(f"{name}-place", "From: wanted a store or locker, and none is known here")
            if quantity and chosen is None:
                self.add_error(f"{name}-spare", "Part: wanted which one")
            if f"{name}-quantity" in self.errors:
                continue
            if spare is None and chosen is not None and not quantity:
                self.add_error(f"{name}-quantity", f"How many {chosen}: wanted a number above 0")
        return cleaned

    def used(self) -> list[SpareUsed]:
        """The spares used, by the cleaned form."""
        found = []
        for name, spare in self._names():
            quantity = self.cleaned_data.get(f"{name}-quantity")
            chosen = spare or self._spares.get(self.cleaned_data.get(f"{name}-spare") or "")
            if quantity and chosen is not None:
                place = self._places.get(self.cleaned_data[f"{name}-place"])
                place = place or place_of(chosen, quantity, list(self._places.values()))
                found.append(SpareUsed(chosen, place, quantity))
        return found

    @property
    def more_open(self) -> bool:
        """Whether a row that is folded away holds something."""
        hidden = [f"more{n}" for n in range(self.shown_blank, self.blank_rows)]
        names = [f"{name}-{part}" for name in hidden for part in ("quantity", "spare")]
        return self.is_bound and any(self[name].value() for name in names)

    @property
    def parts(self) -> list[PartRow]:
        rows: list[PartRow] = []
        for name, spare in self._names():
            own = (f"{name}-quantity", f"{name}-place") + (() if spare else (f"{name}-spare",))
            shown: Any = _called(spare) if spare else self[f"{name}-spare"]
            fields = tuple(self[field] for field in own)
            first_hidden = len(self._taken) + self.shown_blank
            rows.append(
                PartRow(
                    quantity=self[f"{name}-quantity"],
                    spare=shown,
                    place=self[f"{name}-place"],
                    fields=fields,
                    begins_more=len(rows) == first_hidden,
                    ends_more=len(rows) == len(self._taken) + self.blank_rows - 1,
                )
            )
        return rows
