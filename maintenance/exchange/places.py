"""The stores, kits, shelves and lockers that stock.csv names."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from fleet.bases.models import Base
from fleet.boats.models import Boat, Place
from fleet.exchange.book import Book
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import in_lots

WANTED = "the code of a base (its store) or of a boat (her kit)"
Where = tuple[str, str]


class Owner(NamedTuple):
    """Whose a store is: one of the two."""

    base: int | None
    boat: int | None


class Places:
    """Places by what a file calls them: the store, and the shelf or locker in it (or blank).

    A store is called by a base's code (its store), a boat's code (her kit), or, where the book
    has one base only or knows the store already, by a name of its own.
    """

    def __init__(self) -> None:
        rows = Place.objects.values_list("pk", "code", "parent__code", "base_id", "boat_id")
        self._owners: dict[str, set[Owner]] = {}
        self.named: dict[int, Where] = {}
        for number, code, parent, *owner in rows:
            self.named[number] = (code, "") if parent is None else (parent, code)
            if parent is None:
                self._owners.setdefault(code, set()).add(Owner(*owner))
        self.numbers = {where: number for number, where in self.named.items()}

    def faults(self, row: Row, book: Book) -> Iterator[Fault]:
        """What is wrong with a row's store."""
        code = row["store"]
        base, boat = book.ids("bases.csv").get((code,)), book.ids("boats.csv").get((code,))
        if base is not None and boat is not None:
            yield row.fault("store", WANTED, f'"{code}", which is both')
        elif base is None and boat is None and self._by_name(code, book) is None:
            if book.is_refused("bases.csv", (code,)) or book.is_refused("boats.csv", (code,)):
                row.cells["rests_on_refused"] = True
            else:
                yield row.fault("store", WANTED)

    def _owner(self, code: str, book: Book) -> Owner:
        base, boat = book.ids("bases.csv").get((code,)), book.ids("boats.csv").get((code,))
        named = self._by_name(code, book) if base is None and boat is None else None
        return named or Owner(base, boat)

    def _by_name(self, code: str, book: Book) -> Owner | None:
        """Whose a store with a name of its own is; None where that is not plain."""
        standing = self._owners.get(code, set())
        if len(standing) == 1:
            return next(iter(standing))
        bases = list(book.ids("bases.csv").values())
        return Owner(bases[0], None) if len(bases) == 1 and not standing else None

    def make(self, wanted: Iterable[Where], book: Book) -> None:
        """Makes the places that are not there yet, stores before what is in them."""
        missing = sorted({where for where in wanted if where not in self.numbers})
        stores = sorted({(store, "") for store, _ in missing} - self.numbers.keys())
        self._keep(stores, book)
        self._keep([where for where in missing if where not in self.numbers], book)

    def _keep(self, missing: list[Where], book: Book) -> None:
        owners = {store: self._owner(store, book) for store, _ in missing}
        boats = Boat.objects.in_bulk([owner.boat for owner in owners.values() if owner.boat])
        bases = Base.objects.in_bulk()
        for lot in in_lots(missing):
            made = [self._place(where, owners[where[0]], boats, bases) for where in lot]
            for where, place in zip(lot, Place.objects.bulk_create(made), strict=True):
                self.numbers[where] = place.pk
                self.named[place.pk] = where

    def _place(self, where: Where, owner: Owner, boats: dict[int, Boat], bases: dict[int, Base]) -> Place:
        store, inner = where
        of = {"base_id": owner.base, "boat_id": owner.boat}
        if inner:
            sort = Place.Sort.LOCKER if owner.boat else Place.Sort.SHELF
            return Place(code=inner, name=inner, parent_id=self.numbers[store, ""], sort=sort, **of)
        if owner.boat:
            name, sort = f"{boats[owner.boat].name}'s kit"[:120], Place.Sort.ABOARD
        else:
            name = "Store" if owner.base and bases[owner.base].code == store else store
            sort = Place.Sort.STORE
        return Place(code=store, name=name, sort=sort, **of)
