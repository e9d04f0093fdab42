"""readings.csv: what the hour meters showed."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from fleet.exchange.book import Book
from fleet.exchange.cells import Column, code, day, flag, hours, text
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import Key, Sheet, as_cell, in_lots
from fleet.ledger import correction
from fleet.meters.models import Reading
from fleet.meters.rules import Dial

SAYS = {True: {"new_meter": True}, False: {"new_meter": False}}


class Readings(Sheet):
    file, key, repeats = "readings.csv", ("boat", "meter", "taken_on", "hours", "new_meter"), True
    columns = {
        "boat": Column(code, needed=True),
        "meter": Column(text(64), needed=True),
        "taken_on": Column(day, needed=True),
        "hours": Column(hours, needed=True),
        "new_meter": Column(flag, blank=False),
    }

    def key_of(self, row: Row) -> Key:
        return (*(row.get(column) for column in self.key[:-1]), bool(row.get("new_meter")))

    def ids(self) -> dict[Key, int]:
        rows = Reading.objects.standing().filter(noted=False)
        columns = ("meter__boat__code", "meter__name", "day", "dial", "new_meter", "pk")
        return {tuple(key): pk for *key, pk in rows.values_list(*columns).iterator()}

    def in_book(self, rows: Sequence[Row], ids: Mapping[Key, int]) -> dict[int, Key]:
        """A row also speaks of the reading that differs in `new_meter` only, unless the file has
        that one too: an old meter may end where the new one starts."""
        found = super().in_book(rows, ids)
        taken = set(found.values())
        for row in rows:
            other = _other_way(self.key_of(row))
            if row.number not in found and other in ids and other not in taken:
                found[row.number] = other
        return found

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("boats.csv", row, "boat")
        yield from book.find("meters.csv", row, "meter", row["boat"], row["meter"])
        yield from book.not_later(row, "taken_on")

    def dials(self, row: Row) -> Iterator[tuple[int, Dial, str]]:
        yield row["meter_id"], Dial(row["taken_on"], row["hours"], bool(row.get("new_meter"))), "hours"

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        return {key: SAYS[key[-1]] for key in keys}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            made = Reading.objects.bulk_create([_reading(row, book) for row in lot])
            yield from [reading.pk for reading in made]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        correction(Reading.objects.get(pk=number), at=book.at, new_meter=row["new_meter"])

    def check(self, rows: Sequence[Row], book: Book) -> Iterator[Fault]:
        """One new meter a day, of the file and the book together."""
        new = {(row["meter_id"], row["taken_on"]): row for row in rows if row.get("new_meter")}
        for meter, day_, dials in _new_meters(set(new)):
            if len(dials) > 1:
                found = f"new meters at {' and at '.join(f'{as_cell(dial)} h' for dial in dials)}"
                yield new[meter, day_].fault("new_meter", f"one new meter on {day_}", found)


def _reading(row: Row, book: Book) -> Reading:
    return Reading(
        meter_id=row["meter_id"],
        day=row["taken_on"],
        dial=row["hours"],
        new_meter=bool(row.get("new_meter")),
        recorded_at=book.at,
    )


def _other_way(key: Key) -> Key:
    return (*key[:-1], not key[-1])


def _new_meters(wanted: set[tuple[int, date]]) -> Iterator[tuple[int, date, list[Any]]]:
    """What new meters began at, by meter and day."""
    rows = Reading.objects.standing().filter(standing=Reading.Standing.USED, new_meter=True)
    dials: dict[tuple[int, date], list[Any]] = {key: [] for key in wanted}
    for meter, day_, dial in rows.order_by("pk").values_list("meter_id", "day", "dial"):
        if (meter, day_) in dials:
            dials[meter, day_].append(dial)
    yield from ((meter, day_, found) for (meter, day_), found in dials.items())
