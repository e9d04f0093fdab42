"""stock.csv: what is held and where, lot by lot where lots are told apart, and how much should be."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from decimal import Decimal
from functools import cached_property
from typing import Any, Final

from fleet.boats.models import Place
from fleet.exchange.book import Book
from fleet.exchange.cells import Column, code, number, printed_date, quantity, text
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import Key, Sheet, as_cell, in_lots
from maintenance.exchange.places import Places, Where
from maintenance.spares.actions import count_stock, set_allowance
from maintenance.spares.facts import hands, lots_at
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import Allowance, Lot, Spare, StockMove

NONE: Final = Decimal(0)
MARKS = ("lot", "serial", "expires_on")
UNMARKED: tuple[str, str, date | None] = ("", "", None)
Mark = tuple[int, str, str, date | None]  # the spare, and how the lot is told apart


def last_day(cell: str, commas: bool) -> date:
    """The last day parts are good, as it is printed on them: a day, or a month to its end."""
    return printed_date(cell, commas)[1]


class Stock(Sheet):
    """What each place holds and should; `place` is the shelf or locker in a store, or blank.

    In a file that tells lots apart a row without a mark counts what has none; in one that does not,
    all that lies there.
    """

    file, key = "stock.csv", ("spare", "store", "place", *MARKS)
    columns = {
        "spare": Column(code, needed=True),
        "store": Column(code, needed=True),
        "place": Column(text(64), blank=""),
        "lot": Column(text(80), blank=""),
        "serial": Column(text(80), blank=""),
        "expires_on": Column(last_day),
        "quantity": Column(number("a quantity such as 2", least=Decimal(-100_000), places=3), needed=True),
        "allowance": Column(quantity),
    }

    @cached_property
    def places(self) -> Places:
        return Places()

    @cached_property
    def lots(self) -> dict[Mark, int]:
        rows = Lot.objects.values_list("spare_id", "mark", "serial", "expires_on", "pk")
        return {(spare, mark, serial, until): pk for spare, mark, serial, until, pk in rows}

    def key_of(self, row: Row) -> Key:
        where = self.places.where(row.get("store") or "", row.get("place") or "")
        return (row.get("spare"), *where, *_mark(row))

    def _where(self, row: Row) -> Where:
        return self.places.where(row["store"], row.get("place", ""))

    def ids(self) -> dict[Key, int]:
        """Spares that a place holds or should; they have no row of their own, so the place's
        number does."""
        moves = StockMove.objects.standing()
        held = {row for end in ("to_place", "from_place") for row in _ends(moves, end)}
        said = Allowance.objects.filter(place__isnull=False).values_list("spare__code", "place")
        held |= {(spare, place, *UNMARKED) for spare, place in said if place is not None}
        held |= {(spare, place, *UNMARKED) for spare, place, *_ in held}
        named = self.places.named
        return {(spare, *named[place], *mark): place for spare, place, *mark in held if place in named}

    def in_book(self, rows: Sequence[Row], ids: Mapping[Key, int]) -> dict[int, Key]:
        """None held and none wanted leaves no trace but the place, so that is known once it is there."""
        found = super().in_book(rows, ids)
        for row in rows:
            nothing = not row["quantity"] and row.get("allowance") is None
            if nothing and self._where(row) in self.places.numbers:
                found[row.number] = self.key_of(row)
        return found

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("spares.csv", row, "spare")
        yield from self.places.faults(row, book)
        if row.get("serial") and row["quantity"] not in (0, 1):
            yield row.fault("quantity", f"1 or 0, for {row['serial']} is the number of one unit")
        if _mark(row) != UNMARKED and row.get("allowance") is not None:
            yield row.fault("allowance", f"nothing: it stands in a row without {', '.join(MARKS)}")

    def known(self, keys: Sequence[Key], book: Book) -> Mapping[Key, Mapping[str, Any]]:
        held, should, of_lots = hands(), _should(book.today), lots_at()
        spares, ids, apart = book.ids("spares.csv"), book.ids(self.file), self._tells_apart(book)
        known: dict[Key, Mapping[str, Any]] = {}
        for key in keys:
            spare, mark = spares[key[0],], key[3:]
            where = (spare, ids.get(key, 0))
            lots = of_lots.get(where, {})
            if mark != UNMARKED:
                known[key] = {"quantity": lots.get(self.lots.get((spare, *mark), 0), NONE)}
            else:
                marked = sum(lots.values(), NONE) if apart else NONE
                known[key] = {"quantity": held.get(where, NONE) - marked, "allowance": should.get(where)}
        return known

    def _tells_apart(self, book: Book) -> bool:
        return any(column in MARKS for row in book.rows[self.file][:1] for column in row.columns)

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        """Nothing was known of these, so what was counted is all there is: one move each."""
        self.places.make([self._where(row) for row in rows], book)
        self._make_lots(row for row in rows if row["quantity"])
        for lot in in_lots(rows):
            at = [(row, self.places.numbers[self._where(row)]) for row in lot]
            counted = [self._counted(row, place, book) for row, place in at if row["quantity"]]
            StockMove.objects.bulk_create(counted)
            should = [_allowance(row, place, book) for row, place in at if row.get("allowance") is not None]
            Allowance.objects.bulk_create(should)
            yield from [place for _, place in at]

    def _make_lots(self, rows: Iterable[Row]) -> None:
        marks = {(row["spare_id"], *_mark(row)): None for row in rows if _mark(row) != UNMARKED}
        new = [mark for mark in marks if mark not in self.lots]
        made = [Lot(spare_id=of, mark=lot, serial=serial, expires_on=day) for of, lot, serial, day in new]
        for lots in in_lots(made):
            Lot.objects.bulk_create(lots)
        self.lots.update(zip(new, (lot.pk for lot in made), strict=True))

    def _counted(self, row: Row, place: int, book: Book) -> StockMove:
        many = row["quantity"]
        where = {"to_place_id": place} if many > 0 else {"from_place_id": place}
        what = {"spare_id": row["spare_id"], "quantity": abs(many), "why": StockMove.Why.COUNTED}
        lot = self.lots.get((row["spare_id"], *_mark(row)))
        return StockMove(day=book.today, recorded_at=book.at, lot_id=lot, **what, **where)

    def change(self, row: Row, number: int, columns: Sequence[str], book: Book) -> None:
        spare, place = Spare.objects.get(pk=row["spare_id"]), Place.objects.get(pk=number)
        if "quantity" in columns:
            counted, mark, lot = row["quantity"], Marked(*_mark(row)), None
            if mark:
                lot = keep_lot(spare, mark)
            elif self._tells_apart(book):
                counted += sum(lots_at([number]).get((spare.pk, number), {}).values(), NONE)
            count_stock(spare, place, counted=counted, lot=lot, day=book.today, at=book.at)
        if "allowance" in columns:
            set_allowance(spare, place, quantity=row["allowance"], from_on=book.today)

    def check(self, rows: Sequence[Row], book: Book) -> Iterator[Fault]:
        """A unit with a number of its own is at one place, whatever else is written on it."""
        numbered = [row for row in rows if row.get("serial") and row["quantity"]]
        units = self._units() if numbered else {}
        for row in numbered:
            lie = units[row["spare_id"], row["serial"]]
            if sum(many for _, many in lie) > 1:
                there = ", ".join(sorted(f"{as_cell(many)} at {where}" for where, many in lie))
                yield row.fault("serial", "one unit at one place, and 0 of it at any other", there)

    def _units(self) -> dict[tuple[int, str], list[tuple[str, Decimal]]]:
        """Where the book has each unit with a number, and how many."""
        serials = {pk: serial for (_, _, serial, _), pk in self.lots.items()}
        found: dict[tuple[int, str], list[tuple[str, Decimal]]] = defaultdict(list)
        for (spare, place), lots in lots_at().items():
            for lot, many in lots.items():
                if serials.get(lot):
                    found[spare, serials[lot]].append((" ".join(self.places.named[place]).strip(), many))
        return found


def _mark(row: Row) -> tuple[str, str, date | None]:
    return row.get("lot") or "", row.get("serial") or "", row.get("expires_on") or None


def _ends(moves: Any, end: str) -> Iterator[tuple[Any, ...]]:
    """What lay or lies at one end of some moves: the spare, the place, and how its lot is marked."""
    lot = ("lot__mark", "lot__serial", "lot__expires_on")
    rows = moves.filter(**{f"{end}__isnull": False}).order_by().distinct()
    for spare, place, mark, serial, until in rows.values_list("spare__code", end, *lot).iterator():
        yield spare, place, mark or "", serial or "", until


def _should(on: date) -> dict[tuple[int, int | None], Decimal]:
    """What is said of a place itself; what is said of a class of boats stands in allowances.csv."""
    said = Allowance.objects.filter(place__isnull=False, from_on__lte=on).order_by("from_on", "pk")
    return {(spare, place): many for spare, place, many in said.values_list("spare", "place", "quantity")}


def _allowance(row: Row, place: int, book: Book) -> Allowance:
    return Allowance(spare_id=row["spare_id"], place_id=place, quantity=row["allowance"], from_on=book.today)
