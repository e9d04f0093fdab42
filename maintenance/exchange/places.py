"""The stores, kits, shelves, lockers and boxes that stock.csv names."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from fleet.bases.models import Base
from fleet.boats.models import Boat, Place
from fleet.exchange.book import Book
from fleet.exchange.faults import Fault, Row
from fleet.exchange.sheet import in_lots

WANTED = "the code of a base (its store) or of a boat (her kit)"
PATH_WANTED = "a shelf or locker such as A1, or a box in it such as A1/3"
DEEPEST = 2  # a box in a shelf or locker
Where = tuple[str, str]
Known = dict[int, tuple[str, int | None]]  # each place's code, and the one it lies in


class Owner(NamedTuple):
    """Whose a store is: one of the two."""

    base: int | None
    boat: int | None


class Places:
    """Places by what a file calls them: the store, and the shelf or locker in it (or blank), with
    the box in that after a stroke: A1/3. A shelf whose own code has a stroke stays that shelf.

    A store is called by a base's code (its store), a boat's code (her kit), or, where the book
    has one base only or knows the store already, by a name of its own.
    """

    def __init__(self) -> None:
        rows = Place.objects.values_list("pk", "code", "parent_id", "base_id", "boat_id")
        known: Known = {number: (code, parent) for number, code, parent, *_ in rows}
        self._owners: dict[str, set[Owner]] = {}
        self.named: dict[int, Where] = {}
        self.numbers: dict[Where, int] = {}
        for _, code, parent, *owner in rows:
            if parent is None:
                self._owners.setdefault(code, set()).add(Owner(*owner))
        paths = {number: _path(number, known) for number in known}
        for number, (store, *inner) in sorted(paths.items(), key=lambda one: len(one[1])):
            self._name(number, (store, "/".join(inner)))

    def _name(self, number: int, where: Where) -> None:
        """The place nearest to its store is the one a file means."""
        if self.numbers.setdefault(where, number) == number:
            self.named[number] = where

    def where(self, store: str, place: str) -> Where:
        """As the book writes it: blanks beside a stroke are none of it."""
        if (store, place) in self.numbers or "/" not in place:
            return store, place
        return store, "/".join(part.strip() for part in place.split("/"))

    def faults(self, row: Row, book: Book) -> Iterator[Fault]:
        """What is wrong with a row's store, and with the place in it."""
        code = row["store"]
        base, boat = book.ids("bases.csv").get((code,)), book.ids("boats.csv").get((code,))
        if base is not None and boat is not None:
            yield row.fault("store", WANTED, f'"{code}", which is both')
        elif base is None and boat is None and self._by_name(code, book) is None:
            if book.is_refused("bases.csv", (code,)) or book.is_refused("boats.csv", (code,)):
                row.cells["rests_on_refused"] = True
            else:
                yield row.fault("store", WANTED)
        where = self.where(code, row.get("place", ""))
        parts = where[1].split("/")
        if where not in self.numbers and where[1] and (not all(parts) or len(parts) > DEEPEST):
            yield row.fault("place", PATH_WANTED)

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
        """Makes the places that are not there yet, each after the one it lies in."""
        missing = {where for where in wanted if where not in self.numbers}
        for depth in range(DEEPEST + 1):
            self._keep(sorted({_down_to(depth, where) for where in missing} - self.numbers.keys()), book)

    def _keep(self, missing: list[Where], book: Book) -> None:
        owners = {store: self._owner(store, book) for store, _ in missing}
        boats = Boat.objects.in_bulk([owner.boat for owner in owners.values() if owner.boat])
        bases = Base.objects.in_bulk() if missing else {}
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
            outer, _, code = inner.rpartition("/")
            return Place(code=code, name=code, parent_id=self.numbers[store, outer], sort=sort, **of)
        if owner.boat:
            name, sort = f"{boats[owner.boat].name}'s kit"[:120], Place.Sort.ABOARD
        else:
            name = "Store" if owner.base and bases[owner.base].code == store else store
            sort = Place.Sort.STORE
        return Place(code=store, name=name, sort=sort, **of)


def _path(number: int | None, known: Known) -> list[str]:
    """The codes from a place's store down to itself."""
    codes: list[str] = []
    while number is not None:
        code, number = known[number]
        codes.insert(0, code)
    return codes


def _down_to(depth: int, where: Where) -> Where:
    """The store of a place, the shelf in it, or the box in that."""
    store, inner = where
    return store, "/".join(inner.split("/")[:depth])
