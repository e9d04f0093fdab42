"""The same number of a part, split otherwise between the store and the kits.

Sherbrooke's METRIC as in shared/CHECKS.md, section 4b, is checked in test_base_stock.py; here that the
split told is the best of all there are, counted out one by one, and when it is worth a word.
"""

from hypothesis import given
from hypothesis import strategies as st

from maintenance.ordering.levels import Line, at_levels
from maintenance.ordering.together import NOTICED, PAYS, WALK, together


@given(
    kits=st.integers(2, 12),
    store=st.integers(0, 20),
    kit=st.integers(0, 3),
    rate=st.floats(0.0005, 0.05),
    supplier=st.floats(1, 60),
)
def test_no_other_split_of_so_many_leaves_noticeably_less_missing_aboard_or_so_few_in_kits_as_little(
    kits, store, kit, rate, supplier
):
    told = together(kits=kits, store=store, kit=kit, rate=rate, supplier=supplier)
    if store + kit < 1:
        assert told is None
        return
    total, line = store + kits * kit, Line(kits, rate, supplier, WALK)
    splits = [(total - aboard * kits, aboard) for aboard in range(total // kits + 1)]
    missing = [at_levels(line, store=ashore, kit=aboard).missing for ashore, aboard in splits]
    assert told.best.missing <= min(missing) + NOTICED
    assert all(more > min(missing) + NOTICED for more in missing[: told.best.kit])
    assert told.best.store + kits * told.best.kit == total
    clearly = told.best.missing < PAYS * told.now.missing
    assert told.pays == (clearly and told.now.missing - told.best.missing > NOTICED)


def test_what_breaks_at_sea_lies_better_aboard():
    told = together(kits=6, store=12, kit=0, rate=0.02, supplier=7)
    assert told.pays
    assert told.best.kit == 1
    assert "6 ashore and 1 in each kit of 6 instead of 12 ashore and none in each kit (" in str(told)
    assert "(0.014 missing aboard on average instead of 0.42)" in str(told)


def test_one_boat_shares_with_nobody():
    assert together(kits=1, store=4, kit=1, rate=0.02, supplier=7) is None
    assert together(kits=3, store=4, kit=1, rate=0, supplier=7) is None
    assert together(kits=3, store=0, kit=0, rate=0.1, supplier=7) is None
