"""intervals.csv and interval_spares.csv: how often each task is done, and what it takes."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from fleet.boats.actions import require_dates
from fleet.exchange.book import Book
from fleet.exchange.cells import (
    Column,
    code,
    count,
    flag,
    hours,
    month_day,
    one_of,
    some_hours,
    some_quantity,
    text,
    word,
    words,
)
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import Key, Sheet, given, in_lots
from maintenance.servicing.models import IntervalSpare, ServiceInterval

MONTHS = count(1, 1200)
LIMBS = (
    "every_hours",
    "every_months",
    "first_hours",
    "first_months",
    "every_charters",
    "season_opens",
    "on_expiry",
)


class Intervals(Sheet):
    file, key = "intervals.csv", ("interval",)
    columns = {
        "interval": Column(word, needed=True),
        "kind": Column(code),
        "component": Column(code),
        "task": Column(text(200), needed=True),
        "every_hours": Column(some_hours),
        "every_months": Column(MONTHS),
        "first_hours": Column(some_hours),
        "first_months": Column(MONTHS),
        "every_charters": Column(count(1, 1000)),
        "season_opens": Column(month_day, blank=""),
        "season_closes": Column(month_day, blank=""),
        "on_expiry": Column(flag, blank=False),
        "counts_from": Column(one_of("done", "due"), blank="done"),
        "early_hours": Column(hours),
        "early_days": Column(count(0, 36_500)),
        "late_hours": Column(hours),
        "late_days": Column(count(0, 36_500)),
        "settles": Column(words, blank=()),
        "critical": Column(flag, blank=False),
        "in_lay_up": Column(flag, blank=False),
        "minutes": Column(count(0, 100_000)),
        "source": Column(text(300), blank=""),
    }
    fields = tuple(c for c in columns if c not in ("interval", "kind", "component", "settles"))

    def ids(self) -> dict[Key, int]:
        return {(code,): pk for code, pk in ServiceInterval.objects.values_list("code", "pk")}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        row.cells.update(kind_id=None, component_id=None)
        if bool(row.get("kind")) == bool(row.get("component")):
            found = "both kind and component" if row.get("kind") else "neither kind nor component"
            yield row.fault("kind", "exactly one of them", found)
        elif row.get("kind"):
            yield from book.find("kinds.csv", row, "kind")
        else:
            yield from book.find("components.csv", row, "component")
        if not any(row.get(limb) for limb in LIMBS):
            yield row.fault(None, f"at least one of {', '.join(LIMBS)}", "no limb")
        if bool(row.get("season_opens")) != bool(row.get("season_closes")):
            lacking = "season_closes" if row.get("season_opens") else "season_opens"
            yield row.fault(lacking, "both days of the season, or neither")

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        rows = ServiceInterval.objects.values("code", "kind__code", "component__code", *self.fields)
        settles = _settles()
        return {
            (row["code"],): row
            | {
                "kind": row["kind__code"],
                "component": row["component__code"],
                "settles": settles.get(row["code"], ()),
            }
            for row in rows
        }

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        _require_dates(rows)
        for lot in in_lots(rows):
            made = [ServiceInterval(code=row["interval"], **self._values(row)) for row in lot]
            yield from [interval.pk for interval in ServiceInterval.objects.bulk_create(made)]

    def _values(self, row: Row) -> dict[str, Any]:
        ids = {"kind_id": row["kind_id"], "component_id": row["component_id"]}
        return ids | given(row, self.fields)

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        ServiceInterval.objects.filter(pk=number).update(**self._values(row))
        _require_dates([row])

    def check(self, rows: Sequence[Row], book: Book) -> Iterator[Fault]:
        """`settles` names intervals of the same file or the book, so it is kept once all are."""
        kept, ids = _settles(), book.ids(self.file)
        for row in rows:
            wanted = row.get("settles")
            if wanted is None or wanted == kept.get(row["interval"], ()):
                continue
            unknown = [code for code in wanted if (code,) not in ids]
            if not unknown:
                ServiceInterval(pk=ids[row["interval"],]).settles.set(ids[code,] for code in wanted)
            elif not any(book.is_refused(self.file, (code,)) for code in unknown):
                known = "intervals that stand in intervals.csv or in the book"
                yield row.fault("settles", known, f'"{" ".join(unknown)}"')


def _require_dates(rows: Sequence[Row]) -> None:
    """What is done by a printed date carries one: the dates' page then asks for it."""
    require_dates(row["kind_id"] for row in rows if row.get("on_expiry") and row["kind_id"] is not None)


def _settles() -> dict[str, tuple[str, ...]]:
    """The codes of what each interval settles, sorted as the file's cells are."""
    through = ServiceInterval.settles.through.objects
    settles: dict[str, list[str]] = defaultdict(list)
    for one, other in through.values_list("from_serviceinterval__code", "to_serviceinterval__code"):
        settles[one].append(other)
    return {code: tuple(sorted(others)) for code, others in settles.items()}


class IntervalSpares(Sheet):
    file, key = "interval_spares.csv", ("interval", "spare")
    columns = {
        "interval": Column(word, needed=True),
        "spare": Column(code, needed=True),
        "quantity": Column(some_quantity, needed=True),
    }

    def ids(self) -> dict[Key, int]:
        rows = IntervalSpare.objects.values_list("interval__code", "spare__code", "pk")
        return {(interval, spare): pk for interval, spare, pk in rows}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("intervals.csv", row, "interval")
        yield from book.find("spares.csv", row, "spare")

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        rows = IntervalSpare.objects.values_list("interval__code", "spare__code", "quantity")
        return {(interval, spare): {"quantity": quantity} for interval, spare, quantity in rows}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for lot in in_lots(rows):
            made = IntervalSpare.objects.bulk_create([_takes(row) for row in lot])
            yield from [takes.pk for takes in made]

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        IntervalSpare.objects.filter(pk=number).update(quantity=row["quantity"])


def _takes(row: Row) -> IntervalSpare:
    ids = {"interval_id": row["interval_id"], "spare_id": row["spare_id"]}
    return IntervalSpare(quantity=row["quantity"], **ids)
