"""charters.csv: who has which boat, from when to when."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from fleet.boats.facts import base_of
from fleet.charters.facts import bookings
from fleet.charters.links import follow_charter
from fleet.charters.models import Charter, CharterBoat
from fleet.charters.rules import Booking, clashes
from fleet.exchange.book import Book
from fleet.exchange.cells import Column, code, count, day, flag, text, time_of_day
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import Key, Sheet, given, in_lots
from fleet.ledger import correction

BOATS_AT_A_TIME = 50


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
        return {(code,): pk for code, pk in Charter.objects.values_list("code", "pk").iterator()}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("boats.csv", row, "boat")
        if row["ends_on"] <= row["starts_on"]:
            yield row.fault("ends_on", f"a day after the charter starts, {row['starts_on']}")

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        rows = Charter.objects.values("code", "boat__code", "cancelled_at", *self.fields)
        return {
            (row["code"],): row | {"boat": row["boat__code"], "cancelled": row["cancelled_at"] is not None}
            for row in rows
        }

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            made = Charter.objects.bulk_create([self._charter(row, book) for row in lot])
            yield from [charter.pk for charter in made]

    def _charter(self, row: Row, book: Book) -> Charter:
        cancelled_at = book.at if row.get("cancelled") else None
        fields = given(row, self.fields)
        return Charter(code=row["charter"], boat_id=row["boat_id"], cancelled_at=cancelled_at, **fields)

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        charter = Charter.objects.get(pk=number)
        for column in set(columns) & set(self.fields):
            setattr(charter, column, row[column])
        if "cancelled" in columns:
            charter.cancelled_at = book.at if row["cancelled"] else None
        if "boat" in columns:
            _change_boat(charter, row["boat_id"], book)
        charter.save()
        if {"ends_on", "back_at"} & set(columns):
            follow_charter(charter)

    def check(self, rows: Sequence[Row], book: Book) -> Iterator[Fault]:
        """Overlaps of the file's charters with each other and with those in the book."""
        by_code = {row["charter"]: row for row in rows}
        boats = sorted({row["boat_id"] for row in rows})
        for start in range(0, len(boats), BOATS_AT_A_TIME):
            for booked in bookings(boats[start : start + BOATS_AT_A_TIME]).values():
                for earlier, later in clashes(booked):
                    yield from _overlap(by_code, earlier, later)


def _overlap(rows: Mapping[str, Row], earlier: Booking, later: Booking) -> Iterator[Fault]:
    if later.code in rows:
        found = f"{later.code} from {later.starts_on} while {earlier.code} has the boat to {earlier.ends_on}"
        wanted = f"a start on or after {earlier.ends_on}" + _at(earlier.back_at)
        yield rows[later.code].fault("starts_on", wanted, found)
    elif earlier.code in rows:
        found = f"{earlier.code} to {earlier.ends_on} while {later.code} has the boat from {later.starts_on}"
        wanted = f"an end up to {later.starts_on}" + _at(later.leaves_at)
        yield rows[earlier.code].fault("ends_on", wanted, found)


def _at(hour: time | None) -> str:
    return f" at {hour:%H:%M}" if hour else ""


def _change_boat(charter: Charter, boat: int, book: Book) -> None:
    """Gives a charter another boat for the whole of it, and keeps which it had. Overlaps are looked
    for once all rows are in: two charters may change boats with each other."""
    had = CharterBoat.objects.standing().filter(charter=charter)
    if not had.exists():
        _had(charter, "as booked", book)
    for row in had:
        correction(row, at=book.at, void=True)
    charter.boat_id = boat
    _had(charter, "changed in charters.csv", book)


def _had(charter: Charter, why: str, book: Book) -> None:
    zone = ZoneInfo(base_of(charter.boat, charter.starts_on).timezone)
    row = CharterBoat(
        charter=charter,
        boat_id=charter.boat_id,
        from_on=charter.starts_on,
        from_at=datetime.combine(charter.starts_on, charter.leaves_at or time(0), zone),
        why=why,
        recorded_at=book.at,
    )
    row.full_clean()
    row.save()
