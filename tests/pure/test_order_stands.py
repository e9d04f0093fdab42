"""How an order stands, by its days and by what came of it, and how long orders of a part take."""

from datetime import date
from decimal import Decimal

import pytest

from maintenance.ordering.standing import Asked, Days, Stands, late, lead, stands, waited_for

D = Decimal
SENT, DUE, LATER = date(2026, 5, 4), date(2026, 5, 20), date(2026, 5, 23)
NOTHING, SOME, ALL, MORE = Asked(D(4)), Asked(D(4), D(1)), Asked(D(4), D(4)), Asked(D(4), D(5))


@pytest.mark.parametrize(
    ("days", "lines", "word"),
    [
        (Days(), [NOTHING], Stands.TO_SEND),
        (Days(), [], Stands.TO_SEND),
        (Days(SENT), [NOTHING], Stands.SENT),
        (Days(SENT), [NOTHING, ALL], Stands.PART),
        (Days(SENT), [SOME], Stands.PART),
        (Days(), [SOME], Stands.PART),  # it came, so it was sent, whoever forgot to say so
        (Days(SENT), [ALL, MORE], Stands.RECEIVED),
        (Days(SENT, closed_on=LATER), [SOME, ALL], Stands.CLOSED),
        (Days(closed_on=LATER), [NOTHING], Stands.CLOSED),
        (Days(SENT, closed_on=LATER), [ALL], Stands.RECEIVED),
    ],
)
def test_the_word_for_an_order(days, lines, word):
    assert stands(days, lines) is word


@pytest.mark.parametrize(
    ("days", "line", "waits"),
    [
        (Days(), NOTHING, 0),
        (Days(SENT), NOTHING, 4),
        (Days(SENT), SOME, 3),
        (Days(), SOME, 3),
        (Days(SENT), MORE, 0),
        (Days(SENT, closed_on=LATER), SOME, 0),
    ],
)
def test_what_of_a_line_is_on_its_way(days, line, waits):
    assert waited_for(days, line) == waits


@pytest.mark.parametrize(
    ("days", "lines", "number"),
    [
        (Days(SENT, DUE), [NOTHING], 3),
        (Days(SENT, DUE), [SOME, ALL], 3),
        (Days(SENT, LATER), [NOTHING], 0),  # promised for today: not late yet
        (Days(SENT), [NOTHING], 0),
        (Days(SENT, DUE), [ALL], 0),
        (Days(SENT, DUE, LATER), [SOME], 0),
        (Days(None, DUE), [NOTHING], 0),
    ],
)
def test_the_days_an_order_is_late(days, lines, number):
    assert late(days, lines, on=LATER) == number


@pytest.mark.parametrize(
    ("took", "others", "typed", "days", "why"),
    [
        ((40, 5, 9, 7), (), 3, 9, "9 days, the longest of the last 3 deliveries"),
        ((1,), (20,), 3, 1, "1 day, the longest of the last delivery"),
        ((), (20, 2), 3, 3, "3 days on the way, as typed"),
        ((), (9, 1, 2, 6), None, 6, "6 days, the longest of the last 3 deliveries from Quay"),
        ((), (), None, 14, "lead time not known: 14 days taken"),
        ((), (), 0, 0, "0 days on the way, as typed"),
    ],
)
def test_how_long_an_order_takes_and_how_anybody_knows(took, others, typed, days, why):
    found = lead(took, others, typed=typed, usual=14, supplier="Quay")
    assert (found.days, found.why) == (days, why)
