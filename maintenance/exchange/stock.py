"""spares.csv and stock.csv: what is held, where, and how much should be."""

from collections.abc import Iterable, Iterator, Sequence
from decimal import Decimal
from typing import Any

from fleet.bases.models import Base
from fleet.boats.models import Boat, Place
from fleet.exchange.book import Book, Key, Sheet
from fleet.exchange.cells import Column, code, count, number, quantity, text
from fleet.exchange.faults import Fault, Row
from fleet.exchange.register import given
from maintenance.spares.actions import count_stock, set_allowance
from maintenance.spares.facts import allowances, hands
from maintenance.spares.models import Allowance, Spare, StockMove


class Spares(Sheet):
    file, key = "spares.csv", ("spare",)
    columns = {
        "spare": Column(code, needed=True),
        "name": Column(text(), needed=True),
        "kind": Column(code),
        "part_number": Column(text(80), blank=""),
        "unit": Column(text(20), blank=""),
        "supplier": Column(text(), blank=""),
        "lead_days": Column(count(0, 3650)),
    }
    fields = ("name", "part_number", "unit", "supplier", "lead_days")

    def ids(self) -> dict[Key, int]:
        return {(code,): pk for code, pk in Spare.objects.values_list("code", "pk")}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        row.cells["kind_id"] = None
        if row.get("kind"):
            yield from book.find("kinds.csv", row, "kind")

    def known(self, keys: Sequence[Key], book: Book) -> dict[Key, dict[str, Any]]:
        rows = Spare.objects.values("code", "kind__code", *self.fields)
        return {(row["code"],): row | {"kind": row["kind__code"]} for row in rows}

    def _values(self, row: Row) -> dict[str, Any]:
        return given(row, self.fields) | {"kind_id": row["kind_id"]}

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        made = [Spare(code=row["spare"], **self._values(row)) for row in rows]
        return [spare.pk for spare in Spare.objects.bulk_create(made, batch_size=2000)]

    def change(self, row: Row, columns: Sequence[str], book: Book) -> None:
        Spare.objects.filter(code=row["spare"]).update(**self._values(row))


class Stock(Sheet):
    """`store` is a base's code (its store), a boat's code (her kit), or, where there is one base
    only, the name of a store of that base; `place` is the shelf or locker in it."""

    file, key = "stock.csv", ("spare", "store", "place")
    columns = {
        "spare": Column(code, needed=True),
        "store": Column(code, needed=True),
        "place": Column(text(64), blank=""),
        "quantity": Column(number("a quantity such as 2", least=Decimal(-100_000), places=3), needed=True),
        "allowance": Column(quantity),
    }

    def key_of(self, row: Row) -> Key:
        return (row["spare"], row["store"], row.get("place", ""))

    def ids(self) -> dict[Key, int]:
        """Spares that a place holds or should: there is no row of their own, so any number does."""
        places = {pk: _named(place) for pk, place in _places().items()}
        moves = StockMove.objects.standing()
        held = {*moves.values_list("spare__code", "to_place"), *moves.values_list("spare__code", "from_place")}
        held |= set(Allowance.objects.filter(place__isnull=False).values_list("spare__code", "place"))
        return {(spare, *places[place]): place for spare, place in held if place is not None}

    def refers(self, row: Row, book: Book) -> Iterator[Fault]:
        yield from book.find("spares.csv", row, "spare")
        if _owner(row["store"]) is None:
            yield row.fault("store", "the code of a base (its store) or of a boat (her kit)")

    def known(self, keys: Sequence[Key], book: Book) -> dict[Key, dict[str, Any]]:
        held, should = hands(), allowances(on=book.today)
        spares = {key[0]: number for key, number in book.ids("spares.csv").items()}
        known = {}
        for key in keys:
            where = (spares[key[0]], book.ids(self.file)[key])
            known[key] = {"quantity": held.get(where, Decimal(0)), "allowance": should.get(where)}
        return known

    def create(self, rows: Sequence[Row], book: Book) -> Iterable[int]:
        for row in rows:
            place = _place(row["store"], row.get("place", ""))
            self._keep(row, place, book)
            yield place.pk

    def change(self, row: Row, columns: Sequence[str], book: Book) -> None:
        self._keep(row, _place(row["store"], row.get("place", "")), book)

    def _keep(self, row: Row, place: Place, book: Book) -> None:
        spare = Spare.objects.get(pk=row["spare_id"])
        count_stock(spare, place, counted=row["quantity"], day=book.today, at=book.at)
        if "allowance" in row.cells:
            set_allowance(spare, place, quantity=row["allowance"], from_on=book.today)


def _owner(store: str) -> Base | Boat | None:
    """Whose store a code means; the only base's where it is the code of nothing else."""
    base, boat = Base.objects.filter(code=store).first(), Boat.objects.filter(code=store).first()
    if base and boat:
        return None
    return base or boat or (Base.objects.get() if Base.objects.count() == 1 else None)


def _place(store: str, inner: str) -> Place:
    owner = _owner(store)
    of = {"boat": owner} if isinstance(owner, Boat) else {"base": owner}
    sort = Place.Sort.ABOARD if isinstance(owner, Boat) else Place.Sort.STORE
    name = _store_name(owner, store)
    top, _ = Place.objects.get_or_create(code=store, parent=None, **of, defaults={"name": name, "sort": sort})
    if not inner:
        return top
    sort = Place.Sort.LOCKER if isinstance(owner, Boat) else Place.Sort.SHELF
    place, _ = Place.objects.get_or_create(code=inner, parent=top, **of, defaults={"name": inner, "sort": sort})
    return place


def _store_name(owner: Base | Boat | None, store: str) -> str:
    if isinstance(owner, Boat):
        return f"{owner.name}'s kit"
    return "Store" if owner is not None and owner.code == store else store


def _places() -> dict[int, Place]:
    return Place.objects.select_related("parent").in_bulk()


def _named(place: Place) -> tuple[str, str]:
    return (place.code, "") if place.parent is None else (place.parent.code, place.code)
