"""allowances.csv: how many of a part should lie in the kit of every boat of a design."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from django.db.models import QuerySet

from fleet.boats.models import Boat
from fleet.exchange.book import Book
from fleet.exchange.cells import Column, code, quantity, text
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import Key, Sheet, in_lots
from maintenance.spares.actions import set_class_allowance
from maintenance.spares.models import Allowance, Spare

WANTED = "the design of a boat, as it stands in boats.csv or in the book"


class Allowances(Sheet):
    """What stock.csv says of one boat goes before it."""

    file, key = "allowances.csv", ("design", "spare")
    columns = {
        "design": Column(text(), needed=True),
        "spare": Column(code, needed=True),
        "quantity": Column(quantity, needed=True),
    }

    def __init__(self) -> None:
        self._designs: set[str] | None = None

    def ids(self) -> dict[Key, int]:
        """The latest word on each."""
        rows = _said().values_list("design", "spare__code", "pk")
        return {(design, spare): pk for design, spare, pk in rows}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("spares.csv", row, "spare")
        if self._designs is None:
            self._designs = set(Boat.objects.values_list("design", flat=True))
        if row["design"] in self._designs:
            return
        if any(fault.file == "boats.csv" for fault in book.faults):
            row.cells["rests_on_refused"] = True  # it may be that of a boat with a fault of her own
        else:
            yield row.fault("design", WANTED)

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        said, ids = dict(_said().values_list("pk", "quantity")), book.ids(self.file)
        return {key: {"quantity": said[ids[key]]} for key in keys}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            made = Allowance.objects.bulk_create([_allowance(row, book) for row in lot])
            yield from [said.pk for said in made]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        spare = Spare.objects.get(pk=row["spare_id"])
        set_class_allowance(spare, row["design"], quantity=row["quantity"], from_on=book.today)


def _said() -> QuerySet[Allowance]:
    """What is said of classes, the latest word last."""
    return Allowance.objects.filter(place__isnull=True).order_by("from_on", "pk")


def _allowance(row: Row, book: Book) -> Allowance:
    what = {"spare_id": row["spare_id"], "quantity": row["quantity"]}
    return Allowance(design=row["design"], from_on=book.today, **what)
