"""What is done with a base's spares over some days, move by move, as rules of a state machine."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, rule

from fleet.bases.models import Base
from fleet.boats.models import Boat, Place
from fleet.people.models import Person
from fleet.refused import Refused
from maintenance.spares.actions import count_stock, use_spare
from maintenance.spares.astray import astray_of, find, give_up, miss
from maintenance.spares.lots import Marked, keep_lot
from maintenance.spares.models import Lot, Spare, StockMove
from maintenance.spares.moving import move_stock
from tests import factories as make
from tests.cast import NOW, TODAY
from tests.maintenance.stock_book import NONE, Book, Entry, Said

ONE = Decimal(1)
PARTS, SHELVES, KITS, DAYS = 2, 2, 2, 3
PART, PLACE, ANY = st.integers(0, PARTS - 1), st.integers(0, SHELVES + KITS - 1), st.integers(0, 99)
AGO, FLAG = st.integers(0, DAYS - 1), st.booleans()
QUANTITY = st.sampled_from([Decimal(text) for text in ("1", "2", "0.1", "4.5", "1.001", "7")])
COUNTED = st.sampled_from([Decimal(text) for text in ("0", "1", "3", "0.2", "12.5")])
MARKED = [
    Marked(mark="A"),
    Marked(expires_on=TODAY - timedelta(3)),
    Marked(mark="A", expires_on=TODAY + timedelta(90)),
    Marked(serial="0007"),
]
MARKS = st.sampled_from([Marked(), *MARKED])


def stores() -> None:
    """Two shelves ashore and the kits of two boats, each of which should hold some of each part."""
    base = make.BaseFactory(code="machine")
    for n in range(SHELVES):
        make.PlaceFactory(base=base, code=f"m{n}", sort="shelf")
    spares = [make.SpareFactory(code=f"m-part-{n}") for n in range(PARTS)]
    for n in range(KITS):
        boat = make.BoatFactory(code=f"machine-{n}")
        make.TermsFactory(boat=boat, base=base)
        kit = make.PlaceFactory(boat=boat, code="kit")
        for spare in spares:
            make.AllowanceFactory(spare=spare, place=kit, quantity=Decimal(n + 1))
    for login in ("first", "second"):
        make.PersonFactory(login=f"machine {login}")


class StockActs(RuleBasedStateMachine):
    """What is done is done with the program and written into a book of the test's own, which also says
    what must be refused."""

    def __init__(self) -> None:
        super().__init__()
        self.story = transaction.atomic()
        self.story.__enter__()
        self.base = Base.objects.get(code="machine")
        self.spares = list(Spare.objects.filter(code__startswith="m-part"))
        self.boats = list(Boat.objects.filter(code__startswith="machine").order_by("code"))
        kits = [boat.places.get() for boat in self.boats]
        self.places = [*Place.objects.filter(base=self.base), *kits]
        self.astray = astray_of(self.base)
        self.people = list(Person.objects.filter(login__startswith="machine"))
        self.book, self.at, self.today, self.since = Book(), NOW, TODAY, TODAY
        self.last: int | None = None  # the move by which the second of two took what the first had

    def do(self, act: Callable[..., Any], *what: Any, refused: bool = False, **how: Any) -> Any:
        """Does it a minute later, by one of the two; where it must be refused, holds that it is."""
        self.at += timedelta(minutes=1)
        if "at" in act.__annotations__:
            how |= {"at": self.at}
        if "by" in act.__annotations__:
            how = {"by": self.people[len(self.book.entries) % 2]} | how
        if refused:
            with pytest.raises(Refused):
                act(*what, **how)
            return None
        return act(*what, **how)

    def enter(self, move: StockMove, said: Said) -> Entry:
        """Writes down what was said, and that the move says the same."""
        columns = ("spare_id", "from_place_id", "to_place_id", "quantity", "why", "day", "lot_id")
        assert Said(*(getattr(move, column) for column in columns)) == said
        self.since = min(self.since, said.day)
        return self.book.enter(move.pk, said)

    def wrong_lot(self, lot: Lot | None, quantity: Decimal) -> bool:
        return lot is not None and bool(lot.serial) and quantity != ONE

    def here_already(self, lot: Lot | None) -> bool:
        """A unit with a number of its own comes once, until it is gone again."""
        there = [of.get(lot.pk, NONE) for of in self.book.lots().values()] if lot and lot.serial else []
        return any(number > NONE for number in there)

    def lot_there(self, spare: Spare, place: Place, n: int) -> Lot | None:
        """One of the lots of a part, or none."""
        lots = [None, *Lot.objects.filter(spare=spare).order_by("pk")]
        return lots[n % len(lots)]

    def best_lot(self, spare: Spare, place: Place, quantity: Decimal, day: date) -> int | None:
        """The lot it is taken of where nobody says: good ones first, what runs out first before others,
        and one run out only where too little without a mark lies beside it."""
        there = self.book.lots().get((spare.pk, place.pk), {})
        lots = [Lot.objects.get(pk=key) for key, held in there.items() if held >= quantity]
        lots = [lot for lot in lots if not self.wrong_lot(lot, quantity)]
        good = [lot for lot in lots if lot.expires_on is None or lot.expires_on >= day] or lots
        dated = [lot for lot in good if lot.expires_on is not None]
        first = min(dated or good, key=lambda lot: (lot.expires_on or date.max, lot.pk), default=None)
        over = first is not None and first.expires_on is not None and first.expires_on < day
        if first is None or (over and self.book.of_lot(spare.pk, place.pk, None) >= quantity):
            return None
        return first.pk

    @initialize()
    def something_lies_there(self) -> None:
        for n in range(PARTS):
            self.receive(n, 0, Decimal("12.5"), Marked(), DAYS - 1)
            for marked in MARKED:
                self.receive(n, 1, ONE if marked.serial else Decimal(3), marked, 0)

    @rule(n=PART, p=PLACE, quantity=QUANTITY, marked=MARKS, ago=AGO)
    def receive(self, n: int, p: int, quantity: Decimal, marked: Marked, ago: int) -> None:
        spare, place, day = self.spares[n], self.places[p], self.today - timedelta(ago)
        lot = keep_lot(spare, marked) if marked else None
        said = {"why": "received", "quantity": quantity, "day": day, "to_place": place, "lot": lot}
        wrong = self.wrong_lot(lot, quantity) or self.here_already(lot)
        move = self.do(move_stock, spare, refused=wrong, **said)
        if move is not None:
            self.enter(move, Said(spare.pk, None, place.pk, quantity, "received", day, lot and lot.pk))

    @rule(n=PART, p=PLACE, quantity=QUANTITY, ago=AGO)
    def use(self, n: int, p: int, quantity: Decimal, ago: int) -> None:
        spare, place, day = self.spares[n], self.places[p], self.today - timedelta(ago)
        lot = self.best_lot(spare, place, quantity, day)
        move = self.do(use_spare, spare, place, quantity=quantity, day=day)
        self.enter(move, Said(spare.pk, place.pk, None, quantity, "used", day, lot))

    @rule(n=PART, p=PLACE, why=st.sampled_from(["used", "scrapped", "sent back"]), q=QUANTITY, k=ANY, ago=AGO)
    def take_out(self, n: int, p: int, why: str, q: Decimal, k: int, ago: int) -> None:
        spare, place, day = self.spares[n], self.places[p], self.today - timedelta(ago)
        lot = self.lot_there(spare, place, k)
        said = {"why": why, "quantity": q, "day": day, "from_place": place, "lot": lot}
        move = self.do(move_stock, spare, refused=self.wrong_lot(lot, q), **said)
        if move is not None:
            self.enter(move, Said(spare.pk, place.pk, None, q, why, day, lot and lot.pk))

    @rule(n=PART, p=PLACE, to=PLACE, quantity=QUANTITY, k=ANY, ago=AGO)
    def carry(self, n: int, p: int, to: int, quantity: Decimal, k: int, ago: int) -> None:
        spare, day = self.spares[n], self.today - timedelta(ago)
        lot = self.lot_there(spare, self.places[p], k)
        where = {"from_place": self.places[p], "to_place": self.places[to]}
        said = {"why": "moved", "quantity": quantity, "day": day, "lot": lot, **where}
        move = self.do(move_stock, spare, refused=p == to or self.wrong_lot(lot, quantity), **said)
        if move is not None:
            ends = self.places[p].pk, self.places[to].pk
            self.enter(move, Said(spare.pk, *ends, quantity, "moved", day, lot and lot.pk))

    @rule(n=PART, p=PLACE, counted=COUNTED, ago=AGO)
    def count_all_of_it(self, n: int, p: int, counted: Decimal, ago: int) -> None:
        self.count(n, p, counted, None, ago)

    @rule(n=PART, p=PLACE, counted=COUNTED, k=ANY, ago=AGO)
    def count_of_a_lot(self, n: int, p: int, counted: Decimal, k: int, ago: int) -> None:
        self.count(n, p, counted, self.lot_there(self.spares[n], self.places[p], k), ago)

    def count(self, n: int, p: int, counted: Decimal, lot: Lot | None, ago: int) -> None:
        """A count says what lay there at the end of its day, of one lot or of all."""
        spare, place, day = self.spares[n], self.places[p], self.today - timedelta(ago)
        there = self.book.of(spare.pk, place.pk, day)
        if lot is not None:
            there = self.book.lots(day).get((spare.pk, place.pk), {}).get(lot.pk, NONE)
        wrong = self.wrong_lot(lot, counted) and counted != NONE
        move = self.do(count_stock, spare, place, counted=counted, day=day, lot=lot, refused=wrong)
        if move is None:
            assert wrong or counted == there
            return
        ends = (None, place.pk) if counted > there else (place.pk, None)
        said = Said(spare.pk, *ends, abs(counted - there), "counted", day, lot and lot.pk)
        self.enter(move, said)

    @rule(n=PART, p=PLACE, quantity=QUANTITY, k=ANY)
    def miss_some(self, n: int, p: int, quantity: Decimal, k: int) -> None:
        spare, place = self.spares[n], self.places[p]
        lot = self.lot_there(spare, place, k)
        there = self.book.of_lot(spare.pk, place.pk, lot and lot.pk)
        said = {"quantity": quantity, "day": self.today, "lot": lot}
        wrong = quantity > there or self.wrong_lot(lot, quantity)
        move = self.do(miss, spare, place, refused=wrong, **said)
        if move is not None:
            ends = place.pk, self.astray.pk
            self.enter(move, Said(spare.pk, *ends, quantity, "moved", self.today, lot and lot.pk))

    @rule(n=PART, p=PLACE, quantity=QUANTITY, k=ANY, gone=FLAG)
    def find_some_or_give_up(self, n: int, p: int, quantity: Decimal, k: int, gone: bool) -> None:
        spare, place = self.spares[n], self.places[p]
        lot = self.lot_there(spare, self.astray, k)
        looked_for = self.book.of_lot(spare.pk, self.astray.pk, lot and lot.pk)
        said = {"base": self.base, "quantity": quantity, "day": self.today, "lot": lot}
        wrong = quantity > looked_for or self.wrong_lot(lot, quantity)
        if gone:
            move = self.do(give_up, spare, words="Not to be found", refused=wrong, **said)
        else:
            move = self.do(find, spare, place, refused=wrong, **said)
        if move is not None:
            ends = (
                (self.astray.pk, None, quantity, "scrapped")
                if gone
                else (self.astray.pk, place.pk, quantity, "moved")
            )
            self.enter(move, Said(spare.pk, *ends, self.today, lot and lot.pk))
