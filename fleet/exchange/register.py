"""bases.csv, boats.csv, meters.csv, kinds.csv."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.core.exceptions import ValidationError

from fleet.bases.models import BOAT_MINUTES, WORKDAY_MINUTES, Base, is_timezone
from fleet.boats.models import Boat, BoatTerms, Kind, Meter
from fleet.exchange.book import Book
from fleet.exchange.cells import Column, NotWanted, code, count, text
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import Key, Sheet, given
from fleet.ledger import correction


def _timezone(cell: str, _: bool) -> str:
    try:
        is_timezone(cell)
    except ValidationError as error:
        raise NotWanted("a time zone such as Europe/Lisbon") from error
    return cell


def _plain_code(cell: str, commas: bool) -> str:
    if not all(c.isalnum() or c in "._-" for c in cell):
        raise NotWanted("letters, digits, . _ -")
    return code(cell, commas)


class Bases(Sheet):
    file, key = "bases.csv", ("base",)
    columns = {
        "base": Column(_plain_code, needed=True),
        "name": Column(text(), needed=True),
        "timezone": Column(_timezone, needed=True),
        "phone": Column(text(40), blank=""),
        "workday_minutes": Column(count(1, 1440), blank=WORKDAY_MINUTES),
        "boat_minutes": Column(count(0, 1440), blank=BOAT_MINUTES),
    }
    fields = ("name", "timezone", "phone", "workday_minutes", "boat_minutes")

    def ids(self) -> dict[Key, int]:
        return {(code,): pk for code, pk in Base.objects.values_list("code", "pk")}

    def known(self, keys: Sequence[Key], book: Book) -> dict[Key, dict[str, Any]]:
        return {(row["code"],): row for row in Base.objects.values("code", *self.fields)}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        made = [Base(code=row["base"], **given(row, self.fields)) for row in rows]
        return [base.pk for base in Base.objects.bulk_create(made)]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        Base.objects.filter(pk=number).update(**given(row, columns))


class Boats(Sheet):
    file, key = "boats.csv", ("boat",)
    columns = {
        "boat": Column(code, needed=True),
        "name": Column(text(), needed=True),
        "base": Column(code, needed=True),
        "design": Column(text(), blank=""),
        "built": Column(count(1850, 2200)),
        "persons": Column(count(1, 500)),
        "area": Column(text(40), blank=""),
        "fuel_l": Column(count(0)),
        "water_l": Column(count(0)),
    }
    fields = ("name", "design", "built", "fuel_l", "water_l")
    terms = ("persons", "area")

    def ids(self) -> dict[Key, int]:
        return {(code,): pk for code, pk in Boat.objects.values_list("code", "pk")}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("bases.csv", row, "base")

    def known(self, keys: Sequence[Key], book: Book) -> dict[Key, dict[str, Any]]:
        known = {(row["code"],): dict(row) for row in Boat.objects.values("code", *self.fields)}
        terms = BoatTerms.objects.standing().order_by("from_on", "pk")
        for boat, base, persons, area in terms.values_list("boat__code", "base__code", *self.terms):
            known[(boat,)] |= {"base": base, "persons": persons, "area": area}
        return known

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        boats = Boat.objects.bulk_create([Boat(code=r["boat"], **given(r, self.fields)) for r in rows])
        terms = [
            BoatTerms(boat=boat, base_id=row["base_id"], recorded_at=book.at, **given(row, self.terms))
            for boat, row in zip(boats, rows, strict=True)
        ]
        BoatTerms.objects.bulk_create(terms)
        return [boat.pk for boat in boats]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        mine = {c: row[c] for c in columns if c in self.fields}
        if mine:
            Boat.objects.filter(pk=number).update(**mine)
        if len(mine) < len(columns):
            last = BoatTerms.objects.standing().filter(boat=number).latest("from_on", "pk")
            correction(last, at=book.at, base_id=row["base_id"], **given(row, self.terms))


class Meters(Sheet):
    file, key = "meters.csv", ("boat", "meter")
    columns = {"boat": Column(code, needed=True), "meter": Column(text(64), needed=True)}

    def ids(self) -> dict[Key, int]:
        rows = Meter.objects.values_list("boat__code", "name", "pk")
        return {(boat, name): pk for boat, name, pk in rows}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("boats.csv", row, "boat")

    def known(self, keys: Sequence[Key], book: Book) -> dict[Key, dict[str, Any]]:
        return {key: {} for key in keys}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        made = [Meter(boat_id=row["boat_id"], name=row["meter"]) for row in rows]
        return [meter.pk for meter in Meter.objects.bulk_create(made)]


class Kinds(Sheet):
    file, key = "kinds.csv", ("kind",)
    columns = {
        "kind": Column(code, needed=True),
        "name": Column(text(), needed=True),
        "system": Column(text(60), needed=True),
    }
    fields = ("name", "system")

    def ids(self) -> dict[Key, int]:
        return {(code,): pk for code, pk in Kind.objects.values_list("code", "pk")}

    def known(self, keys: Sequence[Key], book: Book) -> dict[Key, dict[str, Any]]:
        return {(row["code"],): row for row in Kind.objects.values("code", *self.fields)}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        made = [Kind(code=row["kind"], **given(row, self.fields)) for row in rows]
        return [kind.pk for kind in Kind.objects.bulk_create(made)]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        Kind.objects.filter(pk=number).update(**given(row, columns))
