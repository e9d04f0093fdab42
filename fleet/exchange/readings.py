"""readings.csv: what the hour meters showed."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from fleet.exchange.book import Book, Key, Sheet
from fleet.exchange.cells import Column, code, day, flag, hours, text
from fleet.exchange.faults import Fault, Row
from fleet.meters.facts import dials_by_meter
from fleet.meters.models import Reading
from fleet.meters.rules import Dial, impossible_pairs


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
        return (row["boat"], row["meter"], row["taken_on"], row["hours"], bool(row.get("new_meter")))

    def ids(self) -> dict[Key, int]:
        rows = Reading.objects.standing().filter(noted=False)
        columns = ("meter__boat__code", "meter__name", "day", "dial", "new_meter", "pk")
        return {tuple(key): pk for *key, pk in rows.values_list(*columns)}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("boats.csv", row, "boat")
        yield from book.find("meters.csv", row, "meter", row["boat"], row["meter"])
        yield from book.not_later(row, "taken_on")
        if "meter_id" in row.cells:
            book.noted(row, "hours", row["taken_on"], new_meter=bool(row.get("new_meter")), noted=False)

    def known(self, keys: Sequence[Key], book: Book) -> dict[Key, dict[str, Any]]:
        return {}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        made = [
            Reading(
                meter_id=row["meter_id"],
                day=row["taken_on"],
                dial=row["hours"],
                new_meter=bool(row.get("new_meter")),
                recorded_at=book.at,
            )
            for row in rows
        ]
        return [reading.pk for reading in Reading.objects.bulk_create(made, batch_size=2000)]

    def check(self, rows: Sequence[Row], book: Book) -> Iterator[Fault]:
        yield from _second_new_meters(rows)


def _second_new_meters(rows: Sequence[Row]) -> Iterator[Fault]:
    first: dict[tuple[int, Any], Row] = {}
    for row in rows:
        if row.get("new_meter"):
            earlier = first.setdefault((row["meter_id"], row["taken_on"]), row)
            if earlier is not row:
                yield row.fault("new_meter", f"one new meter a day; row {earlier.number} has one")


def impossible_dials(book: Book) -> Iterator[Fault]:
    """Dials that one meter cannot have shown one after the other, at the row that gave the later
    one, or else the earlier one."""
    names = book.names("meters.csv")
    for meter, dials in dials_by_meter({meter for meter, _ in book.dials}, book.today).items():
        for before, after in impossible_pairs(dials):
            given = book.dials.get((meter, after)) or book.dials.get((meter, before))
            if given is not None:
                row, column = given
                yield row.fault(column, *_why(before, after, " ".join(names[meter])))


def _why(before: Dial, after: Dial, meter: str) -> tuple[str, str]:
    found = f"{after.hours} h on {after.day} after {before.hours} h on {before.day} ({meter})"
    if after.hours < before.hours:
        return f"{before.hours} or more, or new_meter yes: a meter does not run backwards", found
    return "no more than 24 h a day, both days counted", found
