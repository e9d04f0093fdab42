"""services.csv: what was done when, and the dial that day."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any, NamedTuple

from fleet.boats.models import Component, Fitting
from fleet.exchange.book import Book
from fleet.exchange.cells import Column, code, day, hours, word
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import Key, Sheet, Tally, in_lots
from fleet.ledger import correction, latest
from fleet.meters.models import Reading
from fleet.meters.rules import Dial
from maintenance.servicing.facts import service_dials
from maintenance.servicing.models import Service, ServiceInterval


class Place(NamedTuple):
    """Where a component was, and by which meter."""

    fitted_on: date
    removed_on: date | None
    meter: int | None


class Services(Sheet):
    file, key = "services.csv", ("component", "interval", "done_on")
    columns = {
        "component": Column(code, needed=True),
        "interval": Column(word, needed=True),
        "done_on": Column(day, needed=True),
        "hours": Column(hours),
    }

    def __init__(self) -> None:
        self._places: dict[int, list[Place]] | None = None
        self._kinds: dict[int, int] = {}
        self._meant: dict[int, tuple[int | None, int | None]] = {}

    def ids(self) -> dict[Key, int]:
        rows = Service.objects.standing()
        columns = ("component__code", "interval__code", "done_on", "pk")
        return {tuple(key): pk for *key, pk in rows.values_list(*columns).iterator()}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("components.csv", row, "component")
        yield from book.find("intervals.csv", row, "interval")
        yield from book.not_later(row, "done_on")
        if "component_id" in row.cells and "interval_id" in row.cells:
            yield from self._fits(row)
            yield from self._where(row, book)

    def _fits(self, row: Row) -> Iterator[Fault]:
        """The interval is one of the component's: its kind's or its own."""
        self._look()
        kind, component = self._meant[row["interval_id"]]
        if component != row["component_id"] and kind != self._kinds[row["component_id"]]:
            yield row.fault("interval", f"an interval of {row['component']} or of its kind")

    def _where(self, row: Row, book: Book) -> Iterator[Fault]:
        """Notes the meter the dial was read on: that of the place the component had that day."""
        places = self._look()[row["component_id"]]
        before = [place for place in places if place.fitted_on <= row["done_on"]]
        if not before:
            yield row.fault("done_on", f"a day on or after the first fitting, {places[0].fitted_on}")
            return
        place = before[-1]
        row.cells["meter_id"] = place.meter
        if row.get("hours") is None:
            return
        if place.removed_on is not None and place.removed_on < row["done_on"]:
            yield row.fault("hours", f"nothing: it was ashore, removed on {place.removed_on}")
        elif place.meter is None:
            yield row.fault("hours", "nothing: it is on no hour meter there")

    def dials(self, row: Row) -> Iterator[tuple[int, Dial, str]]:
        if row.get("hours") is not None:
            yield row["meter_id"], Dial(row["done_on"], row["hours"], noted=True), "hours"

    def _look(self) -> dict[int, list[Place]]:
        if self._places is None:
            self._places = defaultdict(list)
            rows = Fitting.objects.standing().order_by("fitted_on", "pk")
            for component, *place in rows.values_list("component_id", "fitted_on", "removed_on", "meter_id"):
                self._places[component].append(Place(*place))
            self._kinds = dict(Component.objects.values_list("pk", "kind_id"))
            meant = ServiceInterval.objects.values_list("pk", "kind_id", "component_id")
            self._meant = {pk: (kind, component) for pk, kind, component in meant}
        return self._places

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        rows = Service.objects.standing()
        dials = service_dials(rows)
        columns = ("component__code", "interval__code", "done_on", "reading_id")
        said = rows.values_list(*columns).iterator()
        return {tuple(key): {"hours": dials.get(reading)} for *key, reading in said}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            noted = [row for row in lot if row.get("hours") is not None]
            readings = Reading.objects.bulk_create([_reading(row, book) for row in noted])
            of_row = {row.number: reading for row, reading in zip(noted, readings, strict=True)}
            made = Service.objects.bulk_create([_service(row, of_row.get(row.number), book) for row in lot])
            yield from [service.pk for service in made]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        service = Service.objects.get(pk=number)
        if service.reading is not None and not latest(service.reading).void:
            correction(latest(service.reading), at=book.at, void=True)
        reading = None if row["hours"] is None else _reading(row, book)
        if reading is not None:
            reading.full_clean()
            reading.save()
        correction(service, at=book.at, reading_id=reading and reading.pk)


def _service(row: Row, reading: Reading | None, book: Book) -> Service:
    return Service(
        component_id=row["component_id"],
        interval_id=row["interval_id"],
        done_on=row["done_on"],
        reading=reading,
        recorded_at=book.at,
    )


def _reading(row: Row, book: Book) -> Reading:
    return Reading(
        meter_id=row["meter_id"], day=row["done_on"], dial=row["hours"], noted=True, recorded_at=book.at
    )


def services_left_out(book: Book) -> Iterator[Fault]:
    """Services in the book that a changed first place no longer allows, at the row that gives it."""
    changed = book.tallies.get("components.csv", Tally()).changed
    given = {row["component"]: row for row in book.rows["components.csv"]} if changed else {}
    first: dict[str, date] = {}
    for part, on in Fitting.objects.standing().values_list("component__code", "fitted_on").iterator():
        if part in given:
            first[part] = min(on, first.get(part, on))
    done = Service.objects.standing().filter(done_on__lt=max(first.values(), default=date.min))
    for part, interval, on in done.values_list("component__code", "interval__code", "done_on"):
        if part in first and on < first[part]:
            yield given[part].fault("fitted_on", f"a day up to {on}, when {interval} was done")
