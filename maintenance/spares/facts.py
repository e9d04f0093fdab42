"""What lies where and what should: rows in, quantities out."""

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Any, Final

from django.db.models import CharField, ExpressionWrapper, F, Field, Min, Q, QuerySet, Sum
from django.db.models.functions import Cast

from fleet.boats.models import Boat, Place
from fleet.ledger import LedgerQuerySet
from maintenance.spares.models import Allowance, Spare, StockMove
from maintenance.spares.stock import Move, Where, on_hand, to_count

# As the database gives them, of no field that would turn each into something: what tens of thousands of
# rows say is read so in half the time.
CAME: Final = ExpressionWrapper(Sum("quantity"), Field())
WENT: Final = ExpressionWrapper(-Sum("quantity"), Field())
QUANTITY: Final = ExpressionWrapper(F("quantity"), Field())
DAY: Final = Cast("day", CharField())


def hands(
    places: Collection[int] | None = None, *, on: date | None = None, spare: int | None = None
) -> dict[Where, Decimal]:
    """On hand by spare and place, of some places or all, of one spare or all, now or at the end of a
    day; one query."""
    held = _held(_standing(on, spare), places, "spare_id")
    return {(spare, place): exactly(number) for (spare, place), number in held.items()}


def lots_at(
    places: Collection[int] | None = None, *, on: date | None = None, spare: int | None = None
) -> dict[Where, dict[int, Decimal]]:
    """What is on hand of each lot by spare and place, none of which is nothing; one query."""
    held = _held(_standing(on, spare).filter(lot__isnull=False), places, "spare_id", "lot_id")
    found: dict[Where, dict[int, Decimal]] = defaultdict(dict)
    for (spare, lot, place), number in held.items():
        if number:
            found[spare, place][lot] = exactly(number)
    return dict(found)


@dataclass(frozen=True, slots=True)
class Lying:
    """What lies where, and what of it is of a lot; `since`: the day of the first move there."""

    hands: dict[Where, Decimal]
    lots: dict[Where, dict[int, Decimal]]
    since: date | None


def lying(places: Collection[int], *, on: date) -> Lying:
    """What `hands` and `lots_at` say at the end of a day, in one query together."""
    held: dict[Where, int] = defaultdict(int)
    lots: dict[tuple[int, int, int], int] = defaultdict(int)
    days = set()
    rows = _ways(_standing(on), places, ("spare_id", "lot_id"), first=Min(DAY))
    for spare, lot, place, total, day in rows.iterator():
        number = thousandths(total)
        held[spare, place] += number
        if lot is not None:
            lots[spare, place, lot] += number
        days.add(day)
    found: dict[Where, dict[int, Decimal]] = defaultdict(dict)
    for (spare, place, lot), number in lots.items():
        if number:
            found[spare, place][lot] = exactly(number)
    hands = {where: exactly(number) for where, number in held.items()}
    return Lying(hands, dict(found), date.fromisoformat(min(days)) if days else None)


def run_out_at(places: Collection[int], *, on: date) -> dict[Where, Decimal]:
    """What lies at places of lots whose last good day is past on a day; one query."""
    held = _held(_standing(None).filter(lot__expires_on__lt=on), places, "spare_id")
    return {(spare, place): exactly(number) for (spare, place), number in held.items() if number > 0}


@lru_cache(maxsize=4096)
def exactly(thousandths: int) -> Decimal:
    """A quantity of so many thousandths."""
    return Decimal(thousandths).scaleb(-3)


def thousandths(quantity: float | Decimal) -> int:
    """A quantity as a database gives it: SQLite in binary, PostgreSQL exactly."""
    return round(quantity * 1000)


def _standing(on: date | None, spare: int | None = None) -> LedgerQuerySet:
    rows: LedgerQuerySet = StockMove.objects.standing()
    if spare is not None:
        rows = rows.filter(spare=spare)
    return rows if on is None else rows.filter(day__lte=on)


def _held(rows: LedgerQuerySet, places: Collection[int] | None, *by: str) -> dict[tuple[int, ...], int]:
    """What came to places less what went from them, by these columns and the place, in thousandths:
    SQLite adds binary fractions, ten times 0.1 to a little less than 1."""
    sums: dict[tuple[int, ...], int] = defaultdict(int)
    for *where, total in _ways(rows, places, by).iterator():
        sums[tuple(where)] += thousandths(total)
    return sums


def _ways(
    rows: LedgerQuerySet, places: Collection[int] | None, by: Collection[str], **more: Any
) -> QuerySet[Any, Any]:
    """What came to each place and, below nothing, what went from it; one query, which adds up each way
    at its index."""
    came, went = (_went(rows, place, places, by) for place in ("to_place", "from_place"))
    return came.annotate(n=CAME, **more).union(went.annotate(n=WENT, **more), all=True).order_by()


def _went(
    rows: LedgerQuerySet, place: str, places: Collection[int] | None, by: Collection[str]
) -> QuerySet[Any, Any]:
    wanted = {f"{place}__isnull": False} if places is None else {f"{place}__in": places}
    return rows.filter(**wanted).values_list(*by, f"{place}_id").order_by()


def as_they_stand(moves: Collection[int]) -> dict[int, StockMove]:
    """Moves by the key each was first kept under, as they are put right since; what was taken back is
    left out. One query, and one for each time something was put right in turn."""
    firsts = {move: move for move in moves}
    found: dict[int, StockMove] = {}
    rows = list(StockMove.objects.filter(pk__in=firsts))
    while rows:
        for row in rows:
            firsts.setdefault(row.pk, firsts.get(row.replaces_id or 0, row.pk))
            found[firsts[row.pk]] = row
        rows = list(StockMove.objects.filter(replaces__in=[row.pk for row in rows]))
    return {first: row for first, row in found.items() if not row.void}


def book_before(move: StockMove) -> Decimal:
    """What the book said of a move's place on its day just before it was kept, of its lot where it has
    one; one query."""
    place = move.to_place_id or move.from_place_id
    rows = StockMove.objects.standing(move.recorded_at).filter(spare=move.spare_id, pk__lt=move.pk)
    rows = rows.filter(Q(from_place=place) | Q(to_place=place), day__lte=move.day)
    if move.lot_id is not None:
        rows = rows.filter(lot=move.lot_id)
    columns = ("spare_id", "from_place_id", "to_place_id", "quantity")
    held = on_hand(Move(*row) for row in rows.values_list(*columns))
    return held.get((move.spare_id, place or 0), Decimal(0))


def allowances(*, on: date, places: Collection[int] | None = None) -> dict[Where, Decimal]:
    """What should lie at each place on a day, the latest word counting; what is said of a class of
    boats should lie in the kit of each, unless something else is said of that boat."""
    rows = Allowance.objects.filter(from_on__lte=on).order_by("from_on", "pk")
    if places is not None:
        rows = rows.filter(Q(place__in=places) | Q(place__isnull=True))
    said: dict[Where, Decimal] = {}
    classes: dict[tuple[str, int], Decimal] = {}
    for spare, place, design, quantity in rows.values_list("spare_id", "place_id", "design", QUANTITY):
        if place is not None:
            said[spare, place] = exactly(thousandths(quantity))
        else:
            classes[design, spare] = exactly(thousandths(quantity))
    return _of_classes(classes, places, on) | said if classes else said


def _of_classes(
    classes: Mapping[tuple[str, int], Decimal], places: Collection[int] | None, on: date
) -> dict[Where, Decimal]:
    """What is said of classes, for the kit of each boat of whom nothing else is said; three queries."""
    boats = Boat.objects.filter(design__in={design for design, _ in classes})
    if places is not None:
        boats = boats.filter(places__in=places)
    designs = dict(boats.distinct().values_list("pk", "design"))
    rows = Allowance.objects.filter(place__boat__in=designs, from_on__lte=on)
    own = set(rows.values_list("place__boat", "spare"))
    kits = kit_of(designs.keys())
    return {
        (spare, kits[boat].pk): quantity
        for boat, design in designs.items()
        for (of, spare), quantity in classes.items()
        if of == design and boat in kits and (boat, spare) not in own
        if places is None or kits[boat].pk in places
    }


def kit_of(boats: Collection[int]) -> dict[int, Place]:
    """The box each boat's kit lies in: her place named `kit`, else the first one not inside another."""
    outermost = F("parent_id").asc(nulls_first=True)  # PostgreSQL would put them last
    rows = Place.objects.filter(boat__in=boats).order_by(outermost, "code").select_related("parent")
    found: dict[int, Place] = {}
    for place in rows:
        if place.boat_id is None:
            continue
        if place.code.casefold() == "kit" or place.boat_id not in found:
            found[place.boat_id] = place
    return found


@dataclass(frozen=True, slots=True)
class ToCount:
    """A place the book says holds less than nothing of a spare."""

    spare: Spare
    place: Place
    on_hand: Decimal


def negative_hands(base: int, boats: Collection[int]) -> list[ToCount]:
    """The counts to make in a base's stores and aboard its boats; three queries."""
    places = Place.objects.filter(Q(base=base) | Q(boat__in=boats)).select_related("parent").in_bulk()
    held = hands(places.keys())
    wrong = to_count(held)
    spares = Spare.objects.in_bulk({spare for spare, _ in wrong})
    found = [ToCount(spares[spare], places[place], held[spare, place]) for spare, place in wrong]
    return sorted(found, key=lambda c: (c.spare.name, str(c.place)))
