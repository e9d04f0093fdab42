"""The list of spares with 100 000 moves, 5 000 spares and 200 places, against hand-written SQL."""

from contextlib import closing
from functools import partial

import pytest

from fleet.bases.models import Base
from fleet.boats.models import Boat, Place
from maintenance.ordering.facts import shelves
from maintenance.spares.facts import hands
from tests.bench.big_base import TODAY
from tests.bench.books import by_hand
from tests.bench.plans import queries, whole_tables
from tests.bench.side_by_side import by_turns, tell
from tests.bench.stock_base import MOVES, SPARES, stock_base
from tests.bench.stock_by_hand import on_hand_by_hand, shelves_by_hand

ROUNDS = 15
# Twice at the size that is asked for (1.4 and 1.6 were measured); of a smaller base most is what each
# question costs, whatever it finds, and a machine that does something else meanwhile.
MOST_TIMES_BY_HAND = 2 if MOVES >= 100_000 else 3


@pytest.fixture(scope="module")
def book(shelf):
    """The base's file, with Django on it and without."""
    path = stock_base(shelf)
    with shelf.open(path) as connection, closing(by_hand(path)) as other:
        yield connection, other


@pytest.fixture
def on_hand(book):
    places = list(Place.objects.values_list("pk", flat=True))
    return partial(hands, places, on=TODAY)


@pytest.fixture
def to_hold(book):
    base, boats = Base.objects.get(), list(Boat.objects.values_list("pk", flat=True))
    return partial(shelves, base, boats, on=TODAY)


def test_the_on_hand_list_against_hand_written_sql(book, on_hand, benchmark):
    floor = partial(on_hand_by_hand, book[1])
    assert {(spare, place): float(held) for (spare, place), held in on_hand().items()} == {
        (spare, place): held for spare, place, held in floor()
    }
    turns = by_turns(benchmark, lambda: (on_hand, floor), rounds=ROUNDS, against="by_hand")
    assert turns.ratio < MOST_TIMES_BY_HAND


def test_what_falls_short_against_hand_written_sql(book, to_hold, benchmark):
    floor = partial(shelves_by_hand, book[1])
    short, lies, lots, prices = floor()
    told = to_hold()
    assert len(told) == SPARES
    assert [_figures(shelf) for shelf in told] == [(*row[:7], max(row[7], 0), row[8]) for row in short]
    assert 0 < sum(1 for shelf in told if shelf.short) < SPARES
    assert {(s.spare.pk, lie.place.pk): float(lie.on_hand) for s in told for lie in s.lying} == {
        (spare, place): held for spare, place, held in lies if held
    }
    found = {(one.lot.pk, one.lies.place.pk): float(one.lies.on_hand) for s in told for one in s.lots}
    assert found == {(lot, place): held for lot, _, place, held, _ in lots}
    assert {s.spare.pk: float(s.price.amount) for s in told} == {row[0]: row[2] for row in prices}
    turns = by_turns(benchmark, lambda: (to_hold, floor), rounds=ROUNDS, against="by_hand")
    assert turns.ratio < MOST_TIMES_BY_HAND


def _figures(shelf):
    numbers = (shelf.hold.quantity, shelf.ashore, shelf.kits_lack, shelf.run_out, shelf.on_its_way)
    return (shelf.spare.pk, shelf.days, *map(float, numbers), float(shelf.short), shelf.hold.why)


def test_both_are_a_fixed_number_of_queries_and_the_sums_read_an_index_alone(
    book, on_hand, to_hold, benchmark
):
    [asked] = queries(book[0], on_hand)
    steps = [row[3] for row in book[1].execute(f"EXPLAIN QUERY PLAN {asked}")]
    assert sum("COVERING INDEX move_" in step for step in steps) == 2
    assert whole_tables(book[0], [asked]) == []
    tell(benchmark, queries=len(queries(book[0], to_hold)))
    benchmark.pedantic(on_hand, rounds=1)
