"""The form that counts one place: a number beside each part and lot, why it differs, what is looked for."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms
from django.forms.boundfield import BoundField

from fleet.boats.models import Place
from maintenance.pages import wording
from maintenance.pages.fields import quantity_field, row_number
from maintenance.pages.worded import words_field
from maintenance.spares.counting import Line
from maintenance.spares.facts import allowances, hands, lots_at
from maintenance.spares.models import Lot, Spare

NONE = Decimal(0)
MOST_LINES = 500
Key = tuple[int, int]  # spare, lot; 0 where it carries no mark


@dataclass(frozen=True, slots=True)
class Row:
    """A part, or one lot of it, and what the book has of it there. `apart`: its lots stand beside it."""

    spare: Spare
    lot: Lot | None
    book: Decimal
    should: Decimal | None = None
    apart: bool = False
    run_out: bool = False

    @property
    def name(self) -> str:
        return f"{self.spare.pk}-{self.lot.pk if self.lot else 0}"

    @property
    def key(self) -> Key:
        return (self.spare.pk, self.lot.pk if self.lot else 0)

    @property
    def called(self) -> str:
        if self.lot is not None:
            return f"{self.spare.name}, {self.lot}"
        return f"{self.spare.name}, without a mark" if self.apart else self.spare.name


@dataclass(frozen=True, slots=True)
class Asked:
    """A row with its fields."""

    row: Row
    number: BoundField
    words: BoundField
    look: BoundField
    book: str
    first: bool

    @property
    def open(self) -> bool:
        """Whether something of what is folded away is filled in, or wrong."""
        return bool(self.words.value() or self.look.value() or self.words.errors or self.look.errors)


def rows_of(place: Place, *, on: date, also: Collection[Key] = ()) -> list[Row]:
    """Everything that lies or should lie at a place, lots apart, and what else is counted there."""
    held = {spare: n for (spare, _), n in hands([place.pk]).items()}
    by_lot = {spare: of for (spare, _), of in lots_at([place.pk]).items()}
    said = allowances(on=on, places=[place.pk]).items()
    should = {spare: n for (spare, where), n in said if where == place.pk}
    keys = {(spare, lot) for spare, of in by_lot.items() for lot in of}
    some = {spare for spare, n in [*held.items(), *should.items()] if n} | by_lot.keys()
    keys |= {(spare, 0) for spare in some if spare not in by_lot or _left(spare, held, by_lot)}
    keys |= set(also)
    spares = Spare.objects.in_bulk({spare for spare, _ in keys})
    lots = Lot.objects.in_bulk({lot for _, lot in keys if lot})
    marked = {spare for spare, lot in keys if lot}
    rows = [
        Row(
            spares[spare],
            lots.get(lot),
            by_lot.get(spare, {}).get(lot, NONE) if lot else _left(spare, held, by_lot),
            should.get(spare),
            apart=spare in marked,
            run_out=_over(lots.get(lot), on),
        )
        for spare, lot in keys
        if spare in spares and (not lot or (lot in lots and lots[lot].spare_id == spare))
    ]
    return sorted(
        rows, key=lambda r: (r.spare.name.casefold(), r.spare.pk, r.lot is None, _last(r.lot), r.key)
    )


def _left(spare: int, held: Mapping[int, Decimal], by_lot: Mapping[int, Mapping[int, Decimal]]) -> Decimal:
    """What carries no mark."""
    return held.get(spare, NONE) - sum(by_lot.get(spare, {}).values(), NONE)


def _over(lot: Lot | None, on: date) -> bool:
    return lot is not None and lot.expires_on is not None and lot.expires_on < on


def _last(lot: Lot | None) -> date:
    return lot.expires_on if lot is not None and lot.expires_on is not None else date.max


def posted(data: Mapping[str, str]) -> dict[Key, Decimal | None]:
    """The lines a form was sent with, and what the book said to who counted; None where that is no
    number."""
    found: dict[Key, Decimal | None] = {}
    for name, value in data.items():
        head, _, rest = name.partition("-")
        spare, _, lot = rest.partition("-")
        one, other = row_number(spare), row_number(lot)
        if head == "book" and one is not None and other is not None and len(found) < MOST_LINES:
            found[one, other] = _number(value)
    return found


def _number(text: str) -> Decimal | None:
    try:
        number = Decimal(text[:30])
    except InvalidOperation:
        return None
    return number if number.is_finite() else None


class CountForm(forms.Form):
    """Three fields a row; a blank number was not counted."""

    def __init__(self, rows: list[Row], seen: Mapping[Key, Decimal | None], data: Any = None) -> None:
        super().__init__(data)
        self.rows, self.seen = rows, dict(seen)
        for row in rows:
            self.fields[f"n-{row.name}"] = quantity_field(row.called)
            self.fields[f"words-{row.name}"] = words_field(
                f"{row.called}, why it differs", most=300, required=False
            )
            self.fields[f"look-{row.name}"] = forms.BooleanField(required=False)

    def book(self, row: Row) -> Decimal:
        """What the book said when this was opened."""
        seen = self.seen.get(row.key)
        return row.book if seen is None else seen

    @property
    def asked(self) -> list[Asked]:
        found: list[Asked] = []
        for row in self.rows:
            number, words, look = (self[f"{part}-{row.name}"] for part in ("n", "words", "look"))
            first = not found or found[-1].row.spare != row.spare
            found.append(Asked(row, number, words, look, f"{self.book(row).normalize():f}", first))
        return found

    def lines(self) -> list[Line]:
        """What was counted; errors beside what was said of a line that was not."""
        found = []
        for row in self.rows:
            number, words = (
                self.cleaned_data.get(f"n-{row.name}"),
                self.cleaned_data.get(f"words-{row.name}", ""),
            )
            look = self.cleaned_data.get(f"look-{row.name}", False)
            if number is not None:
                self._refuse_look(row, number, look)
                found.append(Line(row.spare, number, self.book(row), row.lot, words, look))
            elif words or look:
                self.add_error(
                    f"n-{row.name}", f"{row.called}: wanted how many lie there, for more is said of it"
                )
        if not found and not self.errors:
            self.add_error(None, "Counted: wanted a number beside at least one of them")
        return found

    def _refuse_look(self, row: Row, number: Decimal, look: bool) -> None:
        if look and number >= self.book(row):
            had = wording.quantity(self.book(row))
            self.add_error(
                f"look-{row.name}",
                f"{row.called}: wanted fewer than the {had} in the book, or no tick to look for it",
            )

    def moved(self, now: Mapping[Key, Decimal], by: Mapping[Key, str]) -> None:
        """Says of each line that the book has moved, and starts again from what it says now."""
        for row in self.rows:
            if row.key in now:
                was, says = wording.quantity(self.book(row)), wording.quantity(now[row.key])
                now_says = f"{row.called}: the book says {says} now, and said {was} when you began"
                again = "Look again, then send it once more"
                self.add_error(f"n-{row.name}", f"{now_says}{by.get(row.key, '')}. {again}")
                self.seen[row.key] = now[row.key]
