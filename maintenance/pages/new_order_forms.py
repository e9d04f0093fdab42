"""The form of one order to be made: what falls short at a supplier, ticked, and parts typed beside."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from fleet.pages.typed import line_field
from maintenance.ordering.actions import Wanted
from maintenance.ordering.holding import plain
from maintenance.ordering.shelf import Shelf
from maintenance.pages.fields import quantity_field
from maintenance.pages.part_typed import PartField
from maintenance.spares.models import Spare

OTHERS = 3


@dataclass(frozen=True, slots=True)
class Row:
    """A part as it is offered; without a shelf it is asked for by name, or falls short no more. `newest`
    is the number its supplier is asked for, where it was superseded, and the price is of that."""

    spare: Spare
    shelf: Shelf | None
    price: str
    newest: Spare | None = None
    tick: BoundField | None = None
    quantity: BoundField | None = None


class NewOrderForm(forms.Form):
    """One order; `supplier` blank: it is typed, and `asked` are parts asked for by name, ticked too."""

    def __init__(self, supplier: str, rows: Sequence[Row], data: Any, number: int) -> None:
        super().__init__(data, auto_id=f"id_{number}_%s")
        self.supplier, self._rows = supplier, rows
        if not supplier:
            wanted = "whom it is ordered of"
            self.fields["whom"] = line_field("Supplier", wanted, most=120, list="suppliers")
        for row in rows:
            self._add(row)
        for n in range(OTHERS):
            self.fields[f"other{n}-part"] = PartField(label=f"Another part, row {n + 1}", required=False)
            self.fields[f"other{n}-quantity"] = quantity_field(f"How many, row {n + 1}")

    def _add(self, row: Row) -> None:
        tick, name = f"tick-{row.spare.pk}", f"quantity-{row.spare.pk}"
        self.fields[tick] = forms.BooleanField(label=row.spare.name, required=False, initial=True)
        self.fields[name] = quantity_field(f"How many {row.spare.name}")
        wanted = row.shelf.order.quantity if row.shelf else None
        if wanted:
            self.initial[name] = plain(wanted)

    @property
    def rows(self) -> list[Row]:
        return [
            Row(
                row.spare,
                row.shelf,
                row.price,
                row.newest,
                self[f"tick-{row.spare.pk}"],
                self[f"quantity-{row.spare.pk}"],
            )
            for row in self._rows
        ]

    @property
    def others(self) -> list[tuple[BoundField, BoundField]]:
        return [(self[f"other{n}-part"], self[f"other{n}-quantity"]) for n in range(OTHERS)]

    @property
    def others_open(self) -> bool:
        """Whether a part is typed that must not be folded away, or there is nothing else to see."""
        typed = any(part.value() or number.value() for part, number in self.others)
        return not self._rows or (self.is_bound and typed)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for row in self._rows:
            tick, name = f"tick-{row.spare.pk}", f"quantity-{row.spare.pk}"
            if cleaned.get(tick) and not cleaned.get(name) and name not in self.errors:
                label = self.fields[name].label
                self.add_error(name, f"{label}: wanted a number above 0, or no tick beside it")
        for n in range(OTHERS):
            self._check_other(n, cleaned)
        return cleaned

    def _check_other(self, n: int, cleaned: dict[str, Any]) -> None:
        part, name = cleaned.get(f"other{n}-part"), f"other{n}-quantity"
        if part and not cleaned.get(name) and name not in self.errors:
            self.add_error(name, f"{self.fields[name].label}: wanted how many {part.name}, above 0")
        if cleaned.get(name) and not part and f"other{n}-part" not in self.errors:
            label = self.fields[f"other{n}-part"].label
            self.add_error(f"other{n}-part", f"{label}: wanted which part")

    def wanted(self) -> list[Wanted]:
        return list(self._wanted())

    def _wanted(self) -> Iterator[Wanted]:
        given = self.cleaned_data
        for row in self._rows:
            if given[f"tick-{row.spare.pk}"]:
                yield Wanted(row.spare, given[f"quantity-{row.spare.pk}"])
        for n in range(OTHERS):
            if given[f"other{n}-part"]:
                yield Wanted(given[f"other{n}-part"], given[f"other{n}-quantity"])

    def whom(self) -> str:
        return self.supplier or str(self.cleaned_data["whom"])
