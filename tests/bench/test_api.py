"""The due list over the API against raw sqlite3 and orjson on one file, and against an empty DRF list."""

from contextlib import closing
from datetime import date
from functools import partial

import orjson
import pytest
import time_machine
from django.test import Client, override_settings
from django.urls import include, path

from fleet.bases.models import Base
from fleet.people.models import Membership, Person
from fleet.people.roles import MANAGER
from tests.bench import due_rows_by_hand
from tests.bench.big_base import BOATS, NOW, TODAY
from tests.bench.books import by_hand
from tests.bench.due_rows_by_hand import due_by_hand
from tests.bench.plans import queries
from tests.bench.side_by_side import by_turns, tell

pytestmark = pytest.mark.long  # the lines of four bases take most of a minute to make
ROUNDS = 12
ROWS, PAGE = 5_000, 50
BASES = 4  # of twenty boats with seventy lines each
MOST_TIMES_RAW = 3
MOST_TIMES_EMPTY = 9  # about twice what was measured; told in ms too, for 10 ms is what is wanted

urlpatterns = [path("api/", include("fleet.api.urls")), path("api/", include("maintenance.api.urls"))]
urlpatterns += due_rows_by_hand.urlpatterns


@pytest.fixture(scope="module")
def called(shelf):
    """Calls an address as the manager of four bases, in the full book."""
    with (
        override_settings(ROOT_URLCONF="tests.bench.test_api"),
        time_machine.travel(NOW),
        shelf.open(shelf.database(BOATS)),
    ):
        client = Client()
        client.force_login(_manager())

        def called(where: str) -> bytes:
            answer = client.get(where)
            assert answer.status_code == 200, answer.content
            return answer.content

        yield called


def _manager() -> Person:
    person = Person(login="manager-of-four", name="Manager")
    person.save()
    for base in Base.objects.order_by("pk")[:BASES]:
        Membership.objects.create(person=person, base=base, role=MANAGER, from_on=date(2020, 1, 1))
    return person


def test_five_thousand_lines_against_raw_sqlite_and_orjson(shelf, called, benchmark):
    ours = partial(called, f"/api/due/?page_size={ROWS}")
    with closing(by_hand(shelf.database(BOATS))) as connection:
        bases = [row[0] for row in connection.execute(f"SELECT id FROM fleet_base ORDER BY id LIMIT {BASES}")]
        floor = partial(due_by_hand, connection, bases, TODAY.isoformat(), ROWS)
        same = [orjson.loads(answer())["results"] for answer in (ours, floor)]
        names = ("boat", "component", "interval", "due_on", "limit_on")
        told, floored = ([[row[n] for n in names] for row in rows] for rows in same)
        assert told == floored
        assert [row["overdue"] for row in same[0]] == [bool(row["overdue"]) for row in same[1]]
        assert len(same[0]) == ROWS
        turns = by_turns(benchmark, lambda: (ours, floor), rounds=ROUNDS, against="raw")
    assert turns.ratio < MOST_TIMES_RAW


def test_a_page_of_fifty_against_a_list_with_nothing_in_it(called, benchmark):
    ours, empty = partial(called, f"/api/due/?page_size={PAGE}"), partial(called, "/empty/")
    assert len(orjson.loads(ours())["results"]) == PAGE
    assert orjson.loads(empty())["results"] == []
    turns = by_turns(benchmark, lambda: (ours, empty), rounds=5 * ROUNDS, against="empty")
    assert turns.ratio < MOST_TIMES_EMPTY


def test_a_page_is_the_same_few_queries_whatever_its_size(shelf, called, benchmark):
    with shelf.open(shelf.database(BOATS)) as connection:
        asked = [
            len(queries(connection, partial(called, f"/api/due/?page_size={n}"))) for n in (1, PAGE, ROWS)
        ]
    assert len(set(asked)) == 1
    tell(benchmark, queries=asked[0])
    benchmark.pedantic(called, args=("/api/due/",), rounds=1)
