"""Which lots so much is taken from, where it is put somewhere to be used later. Common practice, no source:
the first to run out goes first, what has run out stays."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from maintenance.spares.stock import Held, lots_to_take

ON = date(2026, 5, 28)
D = Decimal


def lot(key: int, quantity: str, days: int | None) -> Held:
    return Held(key, D(quantity), None if days is None else ON + timedelta(days))


@pytest.mark.parametrize(
    ("lots", "taken"),
    [
        ([], [(None, 2)]),
        ([lot(1, "5", 90), lot(2, "2", 10)], [(2, 2)]),
        ([lot(1, "5", 90), lot(2, "1", 10)], [(1, 2)]),  # one lot rather than two
        ([lot(1, "1", 90), lot(2, "1", 10)], [(2, 1), (1, 1)]),
        ([lot(1, "1", None), lot(2, "1", 10)], [(2, 1), (1, 1)]),
        ([lot(1, "9", -1), lot(2, "1", 0)], [(2, 1), (None, 1)]),
        ([lot(1, "-3", 10)], [(None, 2)]),
    ],
)
def test_the_first_to_run_out_goes_first_and_what_has_run_out_stays(lots, taken):
    assert lots_to_take(lots, D(2), ON) == taken


LOTS = st.lists(st.tuples(st.integers(-2, 9), st.one_of(st.none(), st.integers(-3, 30))), max_size=6)


@given(LOTS, st.integers(1, 20))
def test_as_much_is_taken_as_asked_and_of_no_lot_more_than_it_has(rows, quantity):
    lots = [lot(key, str(number), days) for key, (number, days) in enumerate(rows, start=1)]
    has = {one.key: one.quantity for one in lots}
    taken = lots_to_take(lots, D(quantity), ON)
    assert sum(share for _, share in taken) == quantity
    assert all(0 < share <= has[key] for key, share in taken if key is not None)
