"""fits.csv, instead.csv and prices.csv: what is said of the parts of spares.csv."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError

from fleet.exchange.book import Book
from fleet.exchange.cells import Column, NotWanted, code, day, number, some_quantity, text
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import Key, Sheet, in_lots
from maintenance.spares.fits import Says, wrong_line
from maintenance.spares.models import CURRENCY, SAID_OF_FIT, Instead, Price, SpareFit

MOST_MONEY = Decimal("99999999.9999")  # what the table holds
some_money = number("a price such as 12.50", most=MOST_MONEY, places=4)


def currency(cell: str, _: bool) -> str:
    try:
        CURRENCY(cell)
    except ValidationError as error:
        raise NotWanted(str(error.message).removeprefix("wanted ")) from error
    return cell


class Fits(Sheet):
    """What a part fits: whatever is blank is not asked."""

    file, key = "fits.csv", ("spare", "kind", *SAID_OF_FIT)
    columns = {
        "spare": Column(code, needed=True),
        "kind": Column(code, blank=""),
        **{name: Column(text(80), blank="") for name in SAID_OF_FIT},
        "source": Column(text(200), blank=""),
    }

    def key_of(self, row: Row) -> Key:
        return tuple(row.get(column) or "" for column in self.key)

    def ids(self) -> dict[Key, int]:
        rows = SpareFit.objects.values_list("spare__code", "kind__code", *SAID_OF_FIT, "pk")
        return {(spare, kind or "", *said): pk for spare, kind, *said, pk in rows}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        row.cells["kind_id"] = None
        yield from book.find("spares.csv", row, "spare")
        if row.get("kind"):
            yield from book.find("kinds.csv", row, "kind")
        kind = 0 if row.get("kind") else None  # one that is named is said, whether or not it is known
        wrong = wrong_line(Says(kind, **_said(row)))
        if wrong is not None:
            yield row.fault(*wrong)

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        sources, ids = dict(SpareFit.objects.values_list("pk", "source")), book.ids(self.file)
        return {key: {"source": sources[ids[key]]} for key in keys}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            made = [
                SpareFit(spare_id=r["spare_id"], kind_id=r["kind_id"], source=r.get("source", ""), **_said(r))
                for r in lot
            ]
            yield from [fit.pk for fit in SpareFit.objects.bulk_create(made)]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        SpareFit.objects.filter(pk=number).update(source=row["source"])


def _said(row: Row) -> dict[str, str]:
    return {name: row.get(name, "") for name in SAID_OF_FIT}


class Insteads(Sheet):
    """Which other part may be used instead of one."""

    file, key = "instead.csv", ("spare", "other")
    columns = {
        "spare": Column(code, needed=True),
        "other": Column(code, needed=True),
        "words": Column(text(200), blank=""),
    }

    def ids(self) -> dict[Key, int]:
        rows = Instead.objects.values_list("spare__code", "other__code", "pk")
        return {(spare, other): pk for spare, other, pk in rows}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("spares.csv", row, "spare")
        yield from book.find("spares.csv", row, "other")
        if row["spare"] == row["other"]:
            yield row.fault("other", "another part")

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        words, ids = dict(Instead.objects.values_list("pk", "words")), book.ids(self.file)
        return {key: {"words": words[ids[key]]} for key in keys}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            made = [
                Instead(spare_id=r["spare_id"], other_id=r["other_id"], words=r.get("words", "")) for r in lot
            ]
            yield from [row.pk for row in Instead.objects.bulk_create(made)]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        Instead.objects.filter(pk=number).update(words=row["words"])


class Prices(Sheet):
    """What one costs from a day on, for who buys at least so many; a day to come is no fault."""

    file, key = "prices.csv", ("spare", "supplier", "from_on", "least")
    columns = {
        "spare": Column(code, needed=True),
        "supplier": Column(text(), blank=""),
        "from_on": Column(day, needed=True),
        "least": Column(some_quantity, blank=Decimal(1)),
        "each": Column(some_money, needed=True),
        "currency": Column(currency, needed=True),
    }
    fields = ("each", "currency")

    def key_of(self, row: Row) -> Key:
        return row.get("spare"), row.get("supplier", ""), row.get("from_on"), row.get("least", Decimal(1))

    def ids(self) -> dict[Key, int]:
        rows = Price.objects.values_list("spare__code", "supplier", "from_on", "least", "pk")
        return {tuple(key): pk for *key, pk in rows}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("spares.csv", row, "spare")

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        prices, ids = (
            {row["pk"]: row for row in Price.objects.values("pk", *self.fields)},
            book.ids(self.file),
        )
        return {key: {name: prices[ids[key]][name] for name in self.fields} for key in keys}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            yield from [price.pk for price in Price.objects.bulk_create(map(self._price, lot))]

    def _price(self, row: Row) -> Price:
        _, supplier, from_on, least = self.key_of(row)
        says = {name: row[name] for name in self.fields}
        return Price(spare_id=row["spare_id"], supplier=supplier, from_on=from_on, least=least, **says)

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        Price.objects.filter(pk=number).update(**{name: row[name] for name in self.fields})
