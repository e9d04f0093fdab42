"""components.csv and fittings.csv: what each component is and where it has been."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from itertools import pairwise
from typing import Any

from fleet.boats.models import Component, Fitting, PrintedDate
from fleet.exchange.book import Book, Key, Sheet
from fleet.exchange.cells import Column, code, day, hours, printed_date, text
from fleet.exchange.faults import Fault, Row
from fleet.exchange.register import given
from fleet.ledger import correction

PLACE = {
    "meter": Column(text(64), blank=""),
    "position": Column(text(60), blank=""),
    "fitted_on": Column(day, needed=True),
    "fitted_hours": Column(hours),
    "removed_on": Column(day),
    "removed_hours": Column(hours),
}
FIELDS = {
    "position": "position", "fitted_on": "fitted_on", "fitted_hours": "dial",
    "removed_on": "removed_on", "removed_hours": "dial_removed",
}


def place_faults(row: Row, book: Book) -> Iterator[Fault]:
    """What is wrong with one place on its own."""
    yield from book.find("boats.csv", row, "boat")
    row.cells["meter_id"] = None
    if row.get("meter"):
        yield from book.find("meters.csv", row, "meter", row["boat"], row["meter"])
    yield from book.not_later(row, "fitted_on")
    yield from book.not_later(row, "removed_on")
    removed_on = row.get("removed_on")
    if removed_on is not None and removed_on < row["fitted_on"]:
        yield row.fault("removed_on", f"a day on or after the fitting, {row['fitted_on']}")
    if row.get("removed_hours") is not None and removed_on is None:
        yield row.fault("removed_hours", "nothing, or the day it was removed beside it")
    for column in ("fitted_hours", "removed_hours"):
        if row.get(column) is not None and not row.get("meter"):
            yield row.fault(column, "nothing, or the meter that showed it")
    if row["meter_id"] is not None:
        book.noted(row, "fitted_hours", row["fitted_on"])
        book.noted(row, "removed_hours", removed_on)


def fitting_of(row: Row, component: int, book: Book) -> Fitting:
    values = {field: row[column] for column, field in FIELDS.items() if column in row.cells}
    ids = {"component_id": component, "boat_id": row["boat_id"], "meter_id": row["meter_id"]}
    return Fitting(recorded_at=book.at, **ids, **values)


def says(fitting: Fitting) -> dict[str, Any]:
    """A place as the file would say it."""
    named = {"boat": fitting.boat.code, "meter": fitting.meter.name if fitting.meter else ""}
    return named | {column: getattr(fitting, field) for column, field in FIELDS.items()}


def change_fitting(fitting: Fitting, row: Row, book: Book) -> None:
    values = {field: row[column] for column, field in FIELDS.items() if column in row.cells}
    correction(fitting, at=book.at, boat_id=row["boat_id"], meter_id=row["meter_id"], **values)


class Components(Sheet):
    file, key = "components.csv", ("component",)
    columns = {
        "component": Column(code, needed=True),
        "boat": Column(code, needed=True),
        "kind": Column(code, needed=True),
        "serial": Column(text(80), blank=""),
        "expires_on": Column(printed_date),
        **PLACE,
    }

    def ids(self) -> dict[Key, int]:
        return {(code,): pk for code, pk in Component.objects.values_list("code", "pk")}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("kinds.csv", row, "kind")
        yield from place_faults(row, book)

    def known(self, keys: Sequence[Key], book: Book) -> dict[Key, dict[str, Any]]:
        rows = Component.objects.values_list("code", "kind__code", "serial")
        known: dict[Key, dict[str, Any]] = {
            (code,): {"kind": kind, "serial": serial, "expires_on": None} for code, kind, serial in rows
        }
        for fitting in _first_fittings():
            known[(fitting.component.code,)] |= says(fitting)
        printed = PrintedDate.objects.standing().filter(what="expiry", good_through__isnull=False)
        for code, as_written, good in printed.values_list("component__code", "as_written", "good_through"):
            known[(code,)]["expires_on"] = (as_written, good)
        return known

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        made = [Component(code=r["component"], kind_id=r["kind_id"], **given(r, ["serial"])) for r in rows]
        components = Component.objects.bulk_create(made, batch_size=2000)
        pairs = list(zip(components, rows, strict=True))
        Fitting.objects.bulk_create([fitting_of(row, c.pk, book) for c, row in pairs], batch_size=2000)
        dated = [_printed(c.pk, row, book) for c, row in pairs if row.get("expires_on")]
        PrintedDate.objects.bulk_create(dated, batch_size=2000)
        return [component.pk for component in components]

    def change(self, row: Row, columns: Sequence[str], book: Book) -> None:
        component = Component.objects.get(code=row["component"])
        if {"kind", "serial"} & set(columns):
            changed = {"kind_id": row["kind_id"], **given(row, ["serial"])}
            Component.objects.filter(pk=component.pk).update(**changed)
        if set(columns) & {"boat", "meter", *FIELDS}:
            first = Fitting.objects.standing().filter(component=component).earliest("fitted_on", "pk")
            change_fitting(first, row, book)
        if "expires_on" in columns:
            _change_printed(component, row, book)

    def check(self, rows: Sequence[Row], book: Book) -> Iterator[Fault]:
        yield from _two_places({(row["component"], row["fitted_on"]): row for row in rows})


class Fittings(Sheet):
    file, key = "fittings.csv", ("component", "fitted_on")
    columns = {"component": Column(code, needed=True), "boat": Column(code, needed=True), **PLACE}

    def ids(self) -> dict[Key, int]:
        first = {fitting.pk for fitting in _first_fittings()}
        rows = Fitting.objects.standing().values_list("component__code", "fitted_on", "pk")
        return {(code, fitted_on): pk for code, fitted_on, pk in rows if pk not in first}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("components.csv", row, "component")
        yield from place_faults(row, book)

    def known(self, keys: Sequence[Key], book: Book) -> dict[Key, dict[str, Any]]:
        rows = Fitting.objects.standing().filter(component__code__in=[key[0] for key in keys])
        rows = rows.select_related("component", "boat", "meter")
        return {(row.component.code, row.fitted_on): says(row) for row in rows.order_by("pk")}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        made = [fitting_of(row, row["component_id"], book) for row in rows]
        return [fitting.pk for fitting in Fitting.objects.bulk_create(made, batch_size=2000)]

    def change(self, row: Row, columns: Sequence[str], book: Book) -> None:
        change_fitting(Fitting.objects.get(pk=book.ids(self.file)[self.key_of(row)]), row, book)

    def check(self, rows: Sequence[Row], book: Book) -> Iterator[Fault]:
        yield from _two_places({(row["component"], row["fitted_on"]): row for row in rows})


def _first_fittings() -> Iterator[Fitting]:
    """The first place of every component."""
    seen: set[int] = set()
    rows = Fitting.objects.standing().select_related("component", "boat", "meter")
    for fitting in rows.order_by("fitted_on", "pk"):
        if fitting.component_id not in seen:
            seen.add(fitting.component_id)
            yield fitting


def _printed(component: int, row: Row, book: Book) -> PrintedDate:
    as_written, good = row["expires_on"]
    return PrintedDate(component_id=component, as_written=as_written, good_through=good, recorded_at=book.at)


def _change_printed(component: Component, row: Row, book: Book) -> None:
    last = PrintedDate.objects.standing().filter(component=component, what="expiry").last()
    if last is None:
        _printed(component.pk, row, book).save()
    elif row["expires_on"] is None:
        correction(last, at=book.at, void=True)
    else:
        as_written, good = row["expires_on"]
        correction(last, at=book.at, as_written=as_written, good_through=good)


def _two_places(rows: dict[tuple[str, date], Row]) -> Iterator[Fault]:
    """A component in two places at once; each fault at the later of the two, where a row gave it."""
    stays: dict[str, list[tuple[date, int, date | None]]] = defaultdict(list)
    fittings = Fitting.objects.standing().order_by("fitted_on", "pk")
    for code, pk, fitted_on, removed_on in fittings.values_list(
        "component__code", "pk", "fitted_on", "removed_on"
    ):
        stays[code].append((fitted_on, pk, removed_on))
    for code in {code for code, _ in rows}:
        for (fitted, _, removed), (again, _, _) in pairwise(stays[code]):
            row = rows.get((code, again)) or rows.get((code, fitted))
            if row is not None and (removed is None or again < removed):
                wanted = f"a day on or after {removed}, when it was removed" if removed else "a removal first"
                found = f"fitted {again} while still fitted since {fitted}"
                yield row.fault("fitted_on", wanted, found)
