"""spares.csv and stock.csv: what is held, where, and how much should be."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from functools import cached_property
from typing import Any

from fleet.boats.models import Place
from fleet.exchange.book import Book
from fleet.exchange.cells import Column, code, count, number, quantity, text
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import Key, Sheet, given, in_lots
from maintenance.exchange.places import Places
from maintenance.spares.actions import count_stock, set_allowance
from maintenance.spares.facts import allowances, hands
from maintenance.spares.models import Allowance, Spare, StockMove


class Spares(Sheet):
    file, key = "spares.csv", ("spare",)
    columns = {
        "spare": Column(code, needed=True),
        "name": Column(text(), needed=True),
        "kind": Column(code),
        "part_number": Column(text(80), blank=""),
        "unit": Column(text(20), blank=""),
        "supplier": Column(text(), blank=""),
        "lead_days": Column(count(0, 3650)),
    }
    fields = ("name", "part_number", "unit", "supplier", "lead_days")

    def ids(self) -> dict[Key, int]:
        return {(code,): pk for code, pk in Spare.objects.values_list("code", "pk")}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        row.cells["kind_id"] = None
        if row.get("kind"):
            yield from book.find("kinds.csv", row, "kind")

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        rows = Spare.objects.values("code", "kind__code", *self.fields)
        return {(row["code"],): row | {"kind": row["kind__code"]} for row in rows}

    def _values(self, row: Row) -> dict[str, Any]:
        kind = {"kind_id": row["kind_id"]} if "kind" in row.columns else {}
        return given(row, self.fields) | kind

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            made = Spare.objects.bulk_create([Spare(code=r["spare"], **self._values(r)) for r in lot])
            yield from [spare.pk for spare in made]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        Spare.objects.filter(pk=number).update(**self._values(row))


class Stock(Sheet):
    """What each place holds and should; `place` is the shelf or locker in a store, or blank."""

    file, key = "stock.csv", ("spare", "store", "place")
    columns = {
        "spare": Column(code, needed=True),
        "store": Column(code, needed=True),
        "place": Column(text(64), blank=""),
        "quantity": Column(number("a quantity such as 2", least=Decimal(-100_000), places=3), needed=True),
        "allowance": Column(quantity),
    }

    @cached_property
    def places(self) -> Places:
        return Places()

    def key_of(self, row: Row) -> Key:
        return (row.get("spare"), row.get("store"), row.get("place", ""))

    def ids(self) -> dict[Key, int]:
        """Spares that a place holds or should; they have no row of their own, so the place's
        number does."""
        moves = StockMove.objects.standing()
        held = {
            *moves.values_list("spare__code", "to_place"),
            *moves.values_list("spare__code", "from_place"),
        }
        held |= set(Allowance.objects.filter(place__isnull=False).values_list("spare__code", "place"))
        return {(spare, *self.places.named[place]): place for spare, place in held if place is not None}

    def in_book(self, rows: Sequence[Row], ids: Mapping[Key, int]) -> dict[int, Key]:
        """None held and none wanted leaves no trace but the place, so that is known once it is there."""
        found = super().in_book(rows, ids)
        for row in rows:
            nothing = not row["quantity"] and row.get("allowance") is None
            if nothing and self.key_of(row)[1:] in self.places.numbers:
                found[row.number] = self.key_of(row)
        return found

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("spares.csv", row, "spare")
        yield from self.places.faults(row, book)

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        held, should = hands(), allowances(on=book.today)
        spares, ids = book.ids("spares.csv"), book.ids(self.file)
        known = {}
        for key in keys:
            where = (spares[key[0],], ids.get(key, 0))
            known[key] = {"quantity": held.get(where, Decimal(0)), "allowance": should.get(where)}
        return known

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        """Nothing was known of these places, so what was counted is all there is: one move each."""
        self.places.make([self.key_of(row)[1:] for row in rows], book)
        for lot in in_lots(rows):
            at = [(row, self.places.numbers[self.key_of(row)[1:]]) for row in lot]
            counted = [_counted(row, place, book) for row, place in at if row["quantity"]]
            StockMove.objects.bulk_create(counted)
            should = [_allowance(row, place, book) for row, place in at if row.get("allowance") is not None]
            Allowance.objects.bulk_create(should)
            yield from [place for _, place in at]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        spare, place = Spare.objects.get(pk=row["spare_id"]), Place.objects.get(pk=number)
        if "quantity" in columns:
            count_stock(spare, place, counted=row["quantity"], day=book.today, at=book.at)
        if "allowance" in columns:
            set_allowance(spare, place, quantity=row["allowance"], from_on=book.today)


def _counted(row: Row, place: int, book: Book) -> StockMove:
    quantity = row["quantity"]
    where = {"to_place_id": place} if quantity > 0 else {"from_place_id": place}
    what = {"spare_id": row["spare_id"], "quantity": abs(quantity), "why": StockMove.Why.COUNTED}
    return StockMove(day=book.today, recorded_at=book.at, **what, **where)


def _allowance(row: Row, place: int, book: Book) -> Allowance:
    return Allowance(spare_id=row["spare_id"], place_id=place, quantity=row["allowance"], from_on=book.today)
