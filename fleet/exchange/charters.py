"""charters.csv: who has which boat, from when to when."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from fleet.boats.models import Boat
from fleet.charters.actions import change_boat
from fleet.charters.facts import bookings
from fleet.charters.models import Charter
from fleet.charters.rules import Booking, clashes
from fleet.exchange.book import Book, Key, Sheet
from fleet.exchange.cells import Column, code, count, day, flag, text, time_of_day
from fleet.exchange.faults import Fault, Row
from fleet.exchange.register import given


class Charters(Sheet):
    file, key = "charters.csv", ("charter",)
    columns = {
        "charter": Column(code, needed=True),
        "boat": Column(code, needed=True),
        "starts_on": Column(day, needed=True),
        "leaves_at": Column(time_of_day),
        "ends_on": Column(day, needed=True),
        "back_at": Column(time_of_day),
        "berth": Column(text(20), blank=""),
        "skipper": Column(text(), blank=""),
        "persons": Column(count(1, 500)),
        "cancelled": Column(flag, blank=False),
    }
    fields = ("starts_on", "leaves_at", "ends_on", "back_at", "berth", "skipper", "persons")

    def ids(self) -> dict[Key, int]:
        return {(code,): pk for code, pk in Charter.objects.values_list("code", "pk")}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("boats.csv", row, "boat")
        if row["ends_on"] <= row["starts_on"]:
            yield row.fault("ends_on", f"a day after the charter starts, {row['starts_on']}")

    def known(self, keys: Sequence[Key], book: Book) -> dict[Key, dict[str, Any]]:
        rows = Charter.objects.values("code", "boat__code", "cancelled_at", *self.fields)
        return {
            (row["code"],): row | {"boat": row["boat__code"], "cancelled": row["cancelled_at"] is not None}
            for row in rows
        }

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        made = [
            Charter(
                code=row["charter"],
                boat_id=row["boat_id"],
                cancelled_at=book.at if row.get("cancelled") else None,
                **given(row, self.fields),
            )
            for row in rows
        ]
        return [charter.pk for charter in Charter.objects.bulk_create(made, batch_size=2000)]

    def change(self, row: Row, columns: Sequence[str], book: Book) -> None:
        charter = Charter.objects.get(code=row["charter"])
        changed = {c: row[c] for c in columns if c in self.fields}
        if "cancelled" in columns:
            changed["cancelled_at"] = book.at if row["cancelled"] else None
        if changed:
            Charter.objects.filter(pk=charter.pk).update(**changed)
        if "boat" in columns:
            charter.refresh_from_db()
            boat = Boat.objects.get(pk=row["boat_id"])
            change_boat(charter, boat, from_on=charter.starts_on, why="changed in charters.csv", at=book.at)

    def check(self, rows: Sequence[Row], book: Book) -> Iterator[Fault]:
        by_code = {row["charter"]: row for row in rows}
        for booked in bookings({row["boat_id"] for row in rows}).values():
            for earlier, later in clashes(booked):
                row = by_code.get(later.code) or by_code.get(earlier.code)
                if row is not None:
                    found = f"{later.starts_on} to {later.ends_on} while {earlier.code} has the boat"
                    wanted = f"a start on or after {earlier.ends_on}" + _time(earlier)
                    yield row.fault("starts_on", wanted, f"{later.code}, {found}")


def _time(earlier: Booking) -> str:
    return f" at {earlier.back_at:%H:%M}" if earlier.back_at else ""
