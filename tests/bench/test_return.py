"""A boat back costs the same among a thousand as among twelve, and in the same number of queries."""

from contextlib import closing
from functools import partial
from itertools import count

import pytest

from tests.bench.big_base import BOATS
from tests.bench.books import by_hand
from tests.bench.plans import queries, whole_tables
from tests.bench.return_by_hand import file_by_hand
from tests.bench.returns import BOATS_BY_TURNS, boat_back, file
from tests.bench.side_by_side import by_turns, tell

pytestmark = pytest.mark.long  # .ci/run measures the stock alone
ROUNDS = 36
MOST_TIMES_THE_FEW = 1.3
MOST_TIMES_BY_HAND = 32  # about twice what was measured
MOST_QUERIES = 100  # of two dials, two things wrong and a spare: a few more than there were


@pytest.fixture(scope="module")
def few_and_many(shelf):
    """Copies to write into: the twelve boats of the one are the first twelve of the other."""
    return shelf.copy(BOATS_BY_TURNS, "returns"), shelf.copy(BOATS, "returns")


@pytest.fixture(scope="module")
def number():
    """Returns are numbered through: one is never filed twice."""
    return count()


@pytest.fixture
def filing(shelf):
    """Makes a return ready, and gives the act that files it."""

    def filing(database, number):
        with shelf.open(database):
            back = boat_back(number)

        def act():
            with shelf.open(database):
                return file(back)

        return act

    return filing


def test_a_return_costs_the_same_among_many_as_among_twelve(few_and_many, number, filing, benchmark):
    few, many = few_and_many

    def ready():
        this = next(number)
        return filing(many, this), filing(few, this)

    turns = by_turns(benchmark, ready, rounds=ROUNDS, against="among_twelve")
    assert turns.ratio < MOST_TIMES_THE_FEW


def test_a_return_against_hand_written_sql(shelf, few_and_many, number, filing, benchmark):
    _, many = few_and_many
    with closing(by_hand(many)) as connection:

        def ready():
            ours = filing(many, next(number))
            with shelf.open(many):
                return ours, partial(file_by_hand, connection, boat_back(next(number)))

        turns = by_turns(benchmark, ready, rounds=ROUNDS, against="by_hand")
    assert turns.ratio < MOST_TIMES_BY_HAND


def test_a_return_is_a_fixed_number_of_queries_and_reads_no_whole_table(
    shelf, few_and_many, number, filing, benchmark
):
    this = next(number)
    asked = []
    for database in few_and_many:
        act = filing(database, this)
        with shelf.open(database) as connection:
            asked.append(queries(connection, act))
            assert whole_tables(connection, asked[-1]) == []
    few, many = asked
    assert len(many) == len(few) <= MOST_QUERIES
    tell(benchmark, queries=len(many))
    benchmark.pedantic(filing(few_and_many[1], next(number)), rounds=1)
