"""The week's page of a base of twenty boats costs the same in a book of a thousand as in one of twenty."""

import re
from contextlib import closing
from datetime import date
from functools import partial

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from fleet.bases.models import Base
from fleet.people.models import Membership, Person
from fleet.people.roles import ENGINEER
from tests.bench.big_base import BOATS, BOATS_A_BASE, NOW, base_code
from tests.bench.books import by_hand
from tests.bench.plans import queries, whole_tables
from tests.bench.side_by_side import by_turns, tell
from tests.bench.week_by_hand import week_by_hand

pytestmark = pytest.mark.long  # .ci/run measures the stock alone
ROUNDS = 12
MOST_TIMES_THE_FEW = 1.3
MOST_TIMES_BY_HAND = 54  # twice what was measured on a quiet machine, 27
MOST_QUERIES = 76  # a few more than there were: 72, what is new from the crews among them
BASE = base_code(0)
TOKEN = re.compile(rb'name="csrfmiddlewaretoken" value="\w+"')


@pytest.fixture(scope="module")
def page(shelf):
    """Opens the week of the first base, as its engineer, in a book of so many boats."""
    engineers: dict[int, Client] = {}

    def page(boats: int) -> bytes:
        with shelf.open(shelf.database(boats)):
            client = engineers.get(boats) or engineers.setdefault(boats, _engineer())
            answer = client.get(reverse("week", args=[BASE]))
        assert answer.status_code == 200
        return answer.content

    with time_machine.travel(NOW):
        yield page


def _engineer() -> Client:
    person = Person(login="engineer", name="Engineer")
    person.save()
    base = Base.objects.get(code=BASE)
    Membership.objects.create(person=person, base=base, role=ENGINEER, from_on=date(2020, 1, 1))
    client = Client()
    client.force_login(person)
    return client


def test_the_week_costs_the_same_among_many_as_among_twenty(page, benchmark):
    few, many = partial(page, BOATS_A_BASE), partial(page, BOATS)
    assert TOKEN.sub(b"", few()) == TOKEN.sub(b"", many()), "they should show the same"
    turns = by_turns(benchmark, lambda: (many, few), rounds=ROUNDS, against="among_twenty")
    assert turns.ratio < MOST_TIMES_THE_FEW


def test_the_week_against_hand_written_sql(shelf, page, benchmark):
    with closing(by_hand(shelf.database(BOATS))) as connection:
        floor = partial(week_by_hand, connection, BASE)
        assert all(floor()[:3]), "a floor without a row would say nothing"
        turns = by_turns(benchmark, lambda: (partial(page, BOATS), floor), rounds=ROUNDS, against="by_hand")
    assert turns.ratio < MOST_TIMES_BY_HAND


def test_the_week_is_a_fixed_number_of_queries_and_reads_no_whole_table(shelf, page, benchmark):
    asked = []
    for boats in (BOATS_A_BASE, BOATS):
        page(boats)
        with shelf.open(shelf.database(boats)) as connection:
            asked.append(queries(connection, partial(page, boats)))
            assert whole_tables(connection, asked[-1]) == []
    few, many = asked
    assert len(many) == len(few) <= MOST_QUERIES
    tell(benchmark, queries=len(many))
    benchmark.pedantic(page, args=(BOATS,), rounds=1)
