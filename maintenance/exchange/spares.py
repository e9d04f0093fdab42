"""spares.csv: the parts a base holds, and which number superseded which."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from typing import Any

from fleet.exchange.book import Book
from fleet.exchange.cells import Column, code, count, flag, number, text
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import AT_A_TIME, Key, Sheet, given, in_lots
from maintenance.spares.models import Spare
from maintenance.spares.stand_ins import superseding
from maintenance.spares.successors import By, makes_a_ring

PACK = number("how many come in a pack, above 0, such as 10", places=3, above=True)
KNOWN = "one that stands in spares.csv or in the book"
NO_RING = "a newer part, which this one does not supersede itself"


class Spares(Sheet):
    file, key = "spares.csv", ("spare",)
    columns = {
        "spare": Column(code, needed=True),
        "name": Column(text(), needed=True),
        "kind": Column(code),
        "maker": Column(text(80), blank=""),
        "part_number": Column(text(80), blank=""),
        "unit": Column(text(20), blank=""),
        "pack_of": Column(PACK, blank=Decimal(1)),
        "supplier": Column(text(), blank=""),
        "lead_days": Column(count(0, 3650)),
        "exchange": Column(flag, blank=False),
        "superseded_by": Column(code, blank=""),
    }
    fields = tuple(c for c in columns if c not in ("spare", "kind", "superseded_by"))

    def ids(self) -> dict[Key, int]:
        return {(code,): pk for code, pk in Spare.objects.values_list("code", "pk")}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        row.cells["kind_id"] = None
        if row.get("kind"):
            yield from book.find("kinds.csv", row, "kind")

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        rows = Spare.objects.values("code", "kind__code", "superseded_by__code", *self.fields)
        return {
            (row["code"],): row
            | {"kind": row["kind__code"], "superseded_by": row["superseded_by__code"] or ""}
            for row in rows
        }

    def _values(self, row: Row) -> dict[str, Any]:
        kind = {"kind_id": row["kind_id"]} if "kind" in row.columns else {}
        return given(row, self.fields) | kind

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            made = Spare.objects.bulk_create([Spare(code=r["spare"], **self._values(r)) for r in lot])
            yield from [spare.pk for spare in made]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        Spare.objects.filter(pk=number).update(**self._values(row))

    def check(self, rows: Sequence[Row], book: Book) -> Iterator[Fault]:
        """`superseded_by` names parts of the same file or the book, so it is kept once all are."""
        said = [row for row in rows if "superseded_by" in row.columns]
        if not said:
            return
        ids, before = book.ids(self.file), superseding()
        known = [row for row in said if not row["superseded_by"] or (row["superseded_by"],) in ids]
        after = {ids[row["spare"],]: ids.get((row["superseded_by"],)) for row in known}
        _supersede({part: newer for part, newer in after.items() if before.get(part) != newer})
        yield from (row.fault("superseded_by", KNOWN) for row in said if _unknown(row, book))
        yield from _rings(known, {**before, **after}, ids)


def _unknown(row: Row, book: Book) -> bool:
    newer = (row["superseded_by"],)
    return bool(newer[0]) and newer not in book.ids("spares.csv") and not book.is_refused("spares.csv", newer)


def _supersede(changed: Mapping[int, int | None]) -> None:
    rows = [Spare(pk=part, superseded_by_id=newer) for part, newer in changed.items()]
    Spare.objects.bulk_update(rows, ["superseded_by"], batch_size=AT_A_TIME)


def _rings(rows: Iterable[Row], by: By, ids: Mapping[Key, int]) -> Iterator[Fault]:
    for row in rows:
        newer = by[part := ids[row["spare"],]]
        if newer is not None and makes_a_ring(part, newer, by):
            yield row.fault("superseded_by", NO_RING)
