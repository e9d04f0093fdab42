"""A base's stock as plain rows of a test's own, added up here: what the program's book is held against."""

from collections import defaultdict
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal

NONE = Decimal(0)
BROUGHT, TOOK = ("received",), ("used", "scrapped", "sent back")
Where = tuple[int, int]  # spare, place


@dataclass(frozen=True)
class Said:
    """What one entry says now."""

    spare: int
    from_place: int | None
    to_place: int | None
    quantity: Decimal
    why: str
    day: date
    lot: int | None = None

    def at(self, place: int) -> Decimal:
        """What it changes at a place."""
        return self.quantity * ((self.to_place == place) - (self.from_place == place))

    @property
    def places(self) -> set[int]:
        return {self.from_place, self.to_place} - {None}


@dataclass
class Entry:
    """An entry by all it ever said, and the rows that said so; taken back it says nothing."""

    rows: list[int]
    said: list[Said]
    gone: bool = False

    @property
    def now(self) -> Said:
        return self.said[-1]


@dataclass
class Ordered:
    """An order: how many of each spare, and the entries that brought some."""

    lines: dict[int, Decimal]
    came: dict[int, list[Entry]] = field(default_factory=lambda: defaultdict(list))
    sent_on: date | None = None
    expected_on: date | None = None
    closed: bool = False

    def came_of(self, spare: int) -> Decimal:
        return sum((one.now.quantity for one in self.came[spare] if not one.gone), NONE)

    @property
    def word(self) -> str:
        """How it stands, as people say it."""
        left = {spare for spare, wanted in self.lines.items() if self.came_of(spare) < wanted}
        if not left:
            return "received"
        if self.closed:
            return "closed"
        if any(self.came_of(spare) for spare in self.lines):
            return "part received"
        return "to send" if self.sent_on is None else "sent"

    def late(self, on: date) -> int:
        waits = self.word in ("sent", "part received") and self.expected_on is not None
        return max((on - self.expected_on).days, 0) if waits else 0

    def on_its_way(self, spare: int) -> Decimal:
        """Nothing before it is sent, unless some of this came all the same."""
        if self.closed or (self.sent_on is None and not self.came_of(spare)):
            return NONE
        return max(self.lines[spare] - self.came_of(spare), NONE)


class Book:
    """Every entry in the order it was made, and the orders."""

    def __init__(self) -> None:
        self.entries: list[Entry] = []
        self.orders: dict[int, Ordered] = {}

    def standing(self, on: date | None = None) -> list[Said]:
        said = [one.now for one in self.entries if not one.gone]
        return said if on is None else [one for one in said if one.day <= on]

    def held(self, on: date | None = None) -> dict[Where, Decimal]:
        """What lies where at the end of a day; places with nothing are left out."""
        sums: dict[Where, Decimal] = {}
        for one in self.standing(on):
            for place in one.places:
                sums[one.spare, place] = sums.get((one.spare, place), NONE) + one.at(place)
        return {where: number for where, number in sums.items() if number}

    def lots(self, on: date | None = None) -> dict[Where, dict[int, Decimal]]:
        """The same of each lot."""
        sums: dict[tuple[int, int, int], Decimal] = {}
        for one in self.standing(on):
            for place in one.places if one.lot is not None else ():
                key = (one.spare, place, one.lot)
                sums[key] = sums.get(key, NONE) + one.at(place)
        found: dict[Where, dict[int, Decimal]] = {}
        for (spare, place, lot), number in sums.items():
            if number:
                found.setdefault((spare, place), {})[lot] = number
        return found

    def of(self, spare: int, place: int, on: date | None = None) -> Decimal:
        return self.held(on).get((spare, place), NONE)

    def of_lot(self, spare: int, place: int, lot: int | None) -> Decimal:
        """Of one lot; without one, of what carries no mark."""
        lots = self.lots().get((spare, place), {})
        return self.of(spare, place) - sum(lots.values()) if lot is None else lots.get(lot, NONE)

    def came_less_went(self, spare: int) -> Decimal:
        """All that ever came of a spare less all that ever went: no place is looked at."""
        total = NONE
        for one in self.standing():
            if one.spare == spare and one.why in BROUGHT:
                total += one.quantity
            elif one.spare == spare and one.why in TOOK:
                total -= one.quantity
            elif one.spare == spare and one.why == "counted":
                total += one.quantity if one.from_place is None else -one.quantity
        return total

    def counted_since(self, entry: Entry) -> bool:
        """Whether a count that stands was made after an entry of its spare at a place of its."""
        return any(
            one.now.why == "counted"
            and one.now.spare == entry.now.spare
            and one.now.places & entry.now.places
            for one in self.entries[self.entries.index(entry) + 1 :]
            if not one.gone
        )

    def now_of(self, row: int) -> Said:
        return next(one.now for one in self.entries if row in one.rows)

    def enter(self, row: int, said: Said) -> Entry:
        self.entries.append(Entry([row], [said]))
        return self.entries[-1]

    @staticmethod
    def correct(entry: Entry, row: int, **changed: object) -> None:
        entry.rows.append(row)
        entry.said.append(replace(entry.now, **changed))

    @staticmethod
    def take_back(entry: Entry, n: int, row: int) -> None:
        """Taking the n-th back, what the one before said stands again; of the first, nothing does."""
        entry.rows.append(row)
        entry.gone = n == 0
        entry.said.append(entry.said[max(n - 1, 0)])
