"""A base with many moves of many spares: some put right, some of lots, orders on their way, a due list."""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from random import Random

from fleet.bases.models import Base
from fleet.boats.models import SINCE_EVER, Boat, BoatTerms, Component, Kind, Place
from maintenance.ordering.models import Order, OrderLine, OrderMove
from maintenance.servicing.models import Due, IntervalSpare, ServiceInterval
from maintenance.spares.models import Allowance, Lot, Price, Spare, StockMove
from tests.bench.big_base import BOATS, NOW, TODAY
from tests.bench.books import Shelf, in_a_process

MOVES, SPARES, PLACES = 100 * BOATS, 5 * BOATS, BOATS // 5  # 100 000, 5 000 and 200 of a thousand boats
DAYS = 800  # since the first move
A_PLACE_FOR_EACH = 4  # places where one spare lies
LEADS = (None, 3, 7, 14, 30)
QUANTITIES = [Decimal(text) for text in ("1", "1", "1", "2", "4", "0.5", "2.25")]


def stock_base(shelf: Shelf) -> Path:
    """The database of it, made once."""
    path = shelf.home / "stock.sqlite3"
    if not path.exists():
        in_a_process("migrate", path)
        with shelf.open(path):
            _fill(Random("stock"))
    return path


def _fill(chance: Random) -> None:
    base = Base.objects.create(code="quay", name="The quay", timezone="Europe/Lisbon")
    boats = [Boat(code=f"b{n:03}", name=f"Boat {n}") for n in range(PLACES // 10)]
    boats = Boat.objects.bulk_create(boats)
    terms = {"base": base, "from_on": SINCE_EVER, "recorded_at": NOW}
    BoatTerms.objects.bulk_create(BoatTerms(boat=boat, **terms) for boat in boats)
    places = list(_places(base, boats))
    spares = Spare.objects.bulk_create(
        Spare(
            code=f"p{n:05}",
            name=f"Part {n}",
            supplier=_seller(n),
            lead_days=chance.choice(LEADS),
            pack_of=1 + n % 3,
        )
        for n in range(SPARES)
    )
    lies = {spare.pk: chance.sample(places, A_PLACE_FOR_EACH) for spare in spares}
    lots = _lots(chance, spares)
    moves = StockMove.objects.bulk_create(_moves(chance, spares, lies, lots), batch_size=5000)
    _put_right(chance, moves)
    _should_lie(chance, spares, lies)
    _orders(chance, base, spares, moves)
    _due(chance, boats[: len(boats) // 2], spares)
    Price.objects.bulk_create(
        Price(spare=spare, from_on=SINCE_EVER, each=Decimal(chance.randrange(1, 90)), currency="EUR")
        for spare in spares
    )


def _places(base: Base, boats: list[Boat]) -> Iterator[Place]:
    """Half of them shelves ashore, the others lockers: five to a boat."""
    rows = [Place(base=base, code=f"s{n}", name=f"Shelf {n}", sort="shelf") for n in range(PLACES // 2)]
    rows += [
        Place(boat=boat, code="kit" if not n else f"l{n}", name=f"Locker {n}", sort="locker")
        for boat in boats
        for n in range(5)
    ]
    yield from Place.objects.bulk_create(rows)


def _lots(chance: Random, spares: list[Spare]) -> dict[int, Lot]:
    """One spare in ten comes in lots that run out, one in three of them past."""
    rows = [
        Lot(spare=spare, mark="A", expires_on=TODAY + timedelta(chance.randrange(-300, 600)))
        for spare in spares[::10]
    ]
    return {lot.spare_id: lot for lot in Lot.objects.bulk_create(rows)}


def _moves(
    chance: Random, spares: list[Spare], lies: dict[int, list[Place]], lots: dict[int, Lot]
) -> Iterator[StockMove]:
    for n in range(MOVES):
        spare = chance.choice(spares)
        one, other = chance.sample(lies[spare.pk], 2)
        why = chance.choice(["received", "received", "received", "used", "used", "moved", "counted"])
        yield StockMove(
            spare=spare,
            from_place=None if why == "received" else one,
            to_place=other if why in ("received", "moved") else None,
            quantity=chance.choice(QUANTITIES) * (3 if why == "received" else 1),
            why=why,
            day=TODAY - timedelta(DAYS - n * DAYS // MOVES),
            lot=lots.get(spare.pk),
            recorded_at=NOW,
        )


def _put_right(chance: Random, moves: list[StockMove]) -> None:
    """One in fifty by another quantity, a few of them taken back."""
    columns = ("spare_id", "from_place_id", "to_place_id", "why", "day", "lot_id")
    StockMove.objects.bulk_create(
        StockMove(
            **{name: getattr(move, name) for name in columns},
            quantity=move.quantity + 1,
            void=chance.random() < 0.2,
            replaces=move,
            recorded_at=NOW,
        )
        for move in chance.sample(moves, MOVES // 50)
    )


def _should_lie(chance: Random, spares: list[Spare], lies: dict[int, list[Place]]) -> None:
    rows = [
        Allowance(spare=spare, place=place, quantity=chance.randrange(1, 30), from_on=day)
        for spare in spares
        for place in lies[spare.pk][:2]
        for day in (SINCE_EVER, TODAY - timedelta(30))
    ]
    Allowance.objects.bulk_create(rows, batch_size=5000)


def _orders(chance: Random, base: Base, spares: list[Spare], moves: list[StockMove]) -> None:
    """A dozen lines each, sent at any time; of two in three orders something came of every line."""
    arrivals: dict[int, list[StockMove]] = {spare.pk: [] for spare in spares}
    for move in moves:
        if move.why == "received":
            arrivals[move.spare_id].append(move)
    for n in range(SPARES // 50):
        sent = TODAY - timedelta(chance.randrange(0, DAYS))
        order = Order.objects.create(base=base, supplier=_seller(n), made_at=NOW, sent_on=sent)
        lines = [
            OrderLine(order=order, spare=spare, quantity=chance.randrange(1, 9))
            for spare in chance.sample(spares, 12)
        ]
        for line in OrderLine.objects.bulk_create(lines):
            after = [move for move in arrivals[line.spare_id] if move.day >= sent][:1] if n % 3 else []
            for move in after:
                arrivals[line.spare_id].remove(move)
                OrderMove.objects.create(line=line, move=move)


def _seller(n: int) -> str:
    return f"Chandler {n % 7}"


def _due(chance: Random, boats: list[Boat], spares: list[Spare]) -> None:
    """Fifty tasks a boat, each of which takes two spares."""
    kind = Kind.objects.create(code="thing", name="Thing", system="all")
    intervals = ServiceInterval.objects.bulk_create(
        ServiceInterval(code=f"i{n}", kind=kind, task=f"Task {n}", minutes=30) for n in range(50)
    )
    IntervalSpare.objects.bulk_create(
        IntervalSpare(interval=interval, spare=spare, quantity=chance.choice(QUANTITIES))
        for interval in intervals
        for spare in chance.sample(spares, 2)
    )
    things = Component.objects.bulk_create(Component(code=f"c-{boat.code}", kind=kind) for boat in boats)
    Due.objects.bulk_create(
        Due(
            boat=boat,
            component=thing,
            interval=interval,
            due_on=day,
            sort_on=day,
            counted_from=TODAY,
            recorded=n % 5 > 0,
        )
        for boat, thing in zip(boats, things, strict=True)
        for n, interval in enumerate(intervals)
        for day in [_soon(chance)]
    )


def _soon(chance: Random) -> date:
    return TODAY + timedelta(chance.randrange(-20, 120))
