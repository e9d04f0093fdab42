"""The forms of an order: its lines while it is not sent, its days, its end."""

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from maintenance.ordering.actions import Wanted
from maintenance.ordering.holding import plain
from maintenance.ordering.models import Order
from maintenance.ordering.orders import Line
from maintenance.pages import money
from maintenance.pages.fields import day_field, quantity_field
from maintenance.pages.money import PriceField
from maintenance.pages.part_typed import PartField
from maintenance.pages.worded import words_field

MORE = 2


class LinesForm(forms.Form):
    """What is ordered of each part, and what one costs; a blank number takes the part off."""

    words = words_field("Note for the base", most=500, rows=2, required=False)

    def __init__(self, lines: Sequence[Line], order: Order, data: Any = None) -> None:
        super().__init__(data, prefix="lines", initial={"words": order.words})
        self._lines, self._currency = lines, order.base.currency
        for line in lines:
            self._add(str(line.row.pk), line.row.spare.name, line)
        for n in range(MORE):
            self.fields[f"more{n}-part"] = PartField(label=f"Another part, row {n + 1}", required=False)
            self._add(f"more{n}", f"in row {n + 1}", None)

    def _add(self, name: str, called: str, line: Line | None) -> None:
        self.fields[f"{name}-quantity"] = quantity_field(f"How many {called}")
        price = PriceField(currency=self._currency, label=f"Price of one {called}", required=False)
        self.fields[f"{name}-each"] = price
        if line is not None:
            self.initial[f"{name}-quantity"] = plain(line.row.quantity)
            self.initial[f"{name}-each"] = money.typed(line.each) if line.each else ""

    @property
    def rows(self) -> list[tuple[Line, BoundField, BoundField]]:
        keys = ((line, str(line.row.pk)) for line in self._lines)
        return [(line, self[f"{key}-quantity"], self[f"{key}-each"]) for line, key in keys]

    @property
    def more(self) -> list[tuple[BoundField, BoundField, BoundField]]:
        names = (f"more{n}" for n in range(MORE))
        return [(self[f"{name}-part"], self[f"{name}-quantity"], self[f"{name}-each"]) for name in names]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for n in range(MORE):
            part, name = cleaned.get(f"more{n}-part"), f"more{n}-quantity"
            if part and not cleaned.get(name) and name not in self.errors:
                self.add_error(name, f"{self.fields[name].label}: wanted how many {part.name}, above 0")
            if cleaned.get(name) and not part and f"more{n}-part" not in self.errors:
                self.add_error(f"more{n}-part", f"{self.fields[f'more{n}-part'].label}: wanted which part")
        return cleaned

    def wanted(self) -> Iterator[Wanted]:
        given = self.cleaned_data
        for line in self._lines:
            name = f"{line.row.pk}-quantity"
            if self.add_prefix(name) not in self.data:  # somebody added it since the page was opened
                yield Wanted(line.row.spare, line.row.quantity, line.each)
            elif number := given[name]:
                yield Wanted(line.row.spare, number, given[f"{line.row.pk}-each"])
        for n in range(MORE):
            if part := given[f"more{n}-part"]:
                yield Wanted(part, given[f"more{n}-quantity"], given[f"more{n}-each"])


class SendForm(forms.Form):
    """The day it went out, the day it is to be here, and the number it is known by."""

    sent_on = day_field("Sent on")
    expected_on = day_field("To be here on", "as the supplier said; blank: nothing was said", required=False)
    number = words_field("Number", most=60, required=False, help_text="the supplier's or your own")

    def __init__(self, data: Any = None, *, lines: LinesForm | None = None, **more: Any) -> None:
        """`lines`: the form of an order not sent yet, which is sent with it and so kept as typed."""
        super().__init__(data, **more)
        self.lines = lines
        if lines is not None:
            for field in self.fields.values():
                field.widget.attrs["form"] = "lines"

    def is_valid(self) -> bool:
        """Both are asked, so that each says what is wrong with it."""
        own = super().is_valid()
        return (self.lines is None or not self.lines.is_bound or self.lines.is_valid()) and own


class ExpectForm(forms.Form):
    """Another day, as the supplier said."""

    expected_on = day_field("To be here on", "blank: nobody can say any more", required=False)


class CloseForm(forms.Form):
    """Why nothing more is waited for."""

    why = words_field("Why nothing more is waited for", "why", most=200)
