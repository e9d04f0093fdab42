"""components.csv and fittings.csv: what each component is and where it has been."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from django.db.models import F, QuerySet

from fleet.boats.models import Component, Fitting, PrintedDate
from fleet.exchange.book import Book
from fleet.exchange.cells import Column, code, day, hours, printed_date, text
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import Key, Sheet, given, in_lots
from fleet.ledger import correction
from fleet.meters.rules import Dial

PLACE = {
    "meter": Column(text(64), blank=""),
    "position": Column(text(60), blank=""),
    "fitted_on": Column(day, needed=True),
    "fitted_hours": Column(hours),
    "removed_on": Column(day),
    "removed_hours": Column(hours),
}
FIELDS = {
    "position": "position",
    "fitted_on": "fitted_on",
    "fitted_hours": "dial",
    "removed_on": "removed_on",
    "removed_hours": "dial_removed",
}

PLATE = ("maker", "model", "serial")  # as they stand on the thing itself

# A place left on the day it was taken comes before the next one of that day.
IN_ORDER = ("fitted_on", F("removed_on").asc(nulls_last=True), "pk")


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


def place_dials(row: Row) -> Iterator[tuple[int, Dial, str]]:
    """What was noted when it was fitted and removed."""
    for hours_, day_ in (("fitted_hours", "fitted_on"), ("removed_hours", "removed_on")):
        if row.get(hours_) is not None and row.get(day_) is not None:
            yield row["meter_id"], Dial(row[day_], row[hours_], noted=True), hours_


def _values(row: Row) -> dict[str, Any]:
    """What a row says of a place; columns that the file lacks are left as they are."""
    values = {field: row[column] for column, field in FIELDS.items() if column in row.columns}
    values["boat_id"] = row["boat_id"]
    return values | ({"meter_id": row["meter_id"]} if "meter" in row.columns else {})


def fitting_of(row: Row, component: int, book: Book) -> Fitting:
    return Fitting(component_id=component, recorded_at=book.at, **_values(row))


def places() -> Iterator[tuple[int, str, dict[str, Any]]]:
    """Every place in order: its number, its component's code, and itself as the file would say it."""
    rows = Fitting.objects.standing().order_by(*IN_ORDER)
    columns = ("pk", "component__code", "boat__code", "meter__name", *FIELDS.values())
    for number, component, boat, meter, *rest in rows.values_list(*columns).iterator():
        says = {"boat": boat, "meter": meter or ""} | dict(zip(FIELDS, rest, strict=True))
        yield number, component, says


def change_fitting(fitting: Fitting, row: Row, book: Book) -> None:
    correction(fitting, at=book.at, **_values(row))


class Components(Sheet):
    file, key = "components.csv", ("component",)
    columns = {
        "component": Column(code, needed=True),
        "boat": Column(code, needed=True),
        "kind": Column(code, needed=True),
        "maker": Column(text(80), blank=""),
        "model": Column(text(80), blank=""),
        "serial": Column(text(80), blank=""),
        "expires_on": Column(printed_date),
        **PLACE,
    }

    def ids(self) -> dict[Key, int]:
        return {(code,): pk for code, pk in Component.objects.values_list("code", "pk")}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("kinds.csv", row, "kind")
        yield from place_faults(row, book)

    def dials(self, row: Row) -> Iterator[tuple[int, Dial, str]]:
        yield from place_dials(row)

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        rows = Component.objects.values("code", "kind__code", *PLATE)
        known: dict[Key, dict[str, Any]] = {
            (row["code"],): row | {"kind": row["kind__code"], "expires_on": None} for row in rows
        }
        for _, part, says in places():
            if "fitted_on" not in known[part,]:  # the first place only
                known[part,] |= says
        printed = _printed_dates().order_by("pk").filter(good_through__isnull=False)
        for part, as_written, good in printed.values_list("component__code", "as_written", "good_through"):
            known[part,]["expires_on"] = (as_written, good)
        return known

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            made = [Component(code=r["component"], kind_id=r["kind_id"], **given(r, PLATE)) for r in lot]
            pairs = list(zip(Component.objects.bulk_create(made), lot, strict=True))
            Fitting.objects.bulk_create([fitting_of(row, component.pk, book) for component, row in pairs])
            dated = [_printed(component.pk, row, book) for component, row in pairs if row.get("expires_on")]
            PrintedDate.objects.bulk_create(dated)
            yield from [component.pk for component in made]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        if {"kind", *PLATE} & set(columns):
            changed = {"kind_id": row["kind_id"], **given(row, PLATE)}
            Component.objects.filter(pk=number).update(**changed)
        if set(columns) & {"boat", "meter", *FIELDS}:
            first = Fitting.objects.standing().filter(component=number).order_by(*IN_ORDER)[0]
            change_fitting(first, row, book)
        if "expires_on" in columns:
            _change_printed(number, row, book)


class Fittings(Sheet):
    file, key = "fittings.csv", ("component", "fitted_on")
    columns = {"component": Column(code, needed=True), "boat": Column(code, needed=True), **PLACE}

    def __init__(self) -> None:
        self._first: dict[str, date] = {}

    def ids(self) -> dict[Key, int]:
        """Places after the first; where each first began is noted on the way."""
        ids: dict[Key, int] = {}
        for number, part, says in places():
            if part in self._first:
                ids[part, says["fitted_on"]] = number
            else:
                self._first[part] = says["fitted_on"]
        return ids

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("components.csv", row, "component")
        yield from place_faults(row, book)
        first = self._first.get(row["component"])
        if first is not None and row["fitted_on"] < first:
            yield row.fault("fitted_on", f"a day from {first} on: its first place stands in components.csv")

    def dials(self, row: Row) -> Iterator[tuple[int, Dial, str]]:
        yield from place_dials(row)

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        ids = set(book.ids(self.file).values())
        return {(code, says["fitted_on"]): says for number, code, says in places() if number in ids}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            made = Fitting.objects.bulk_create([fitting_of(row, row["component_id"], book) for row in lot])
            yield from [fitting.pk for fitting in made]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        change_fitting(Fitting.objects.get(pk=number), row, book)


def _printed_dates() -> QuerySet[PrintedDate]:
    return PrintedDate.objects.standing().filter(what="expiry")


def _printed(component: int, row: Row, book: Book) -> PrintedDate:
    as_written, good = row["expires_on"]
    return PrintedDate(component_id=component, as_written=as_written, good_through=good, recorded_at=book.at)


def _change_printed(component: int, row: Row, book: Book) -> None:
    last = _printed_dates().filter(component=component).order_by("pk").last()
    if last is None:
        _printed(component, row, book).save()
    elif row["expires_on"] is None:
        correction(last, at=book.at, void=True)
    else:
        as_written, good = row["expires_on"]
        read = PrintedDate.State.READ
        correction(last, at=book.at, as_written=as_written, good_through=good, state=read)
