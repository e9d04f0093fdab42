"""Numbers of parts that superseded one another: the newest to order by, the older ones it stands for."""

from hypothesis import given
from hypothesis import strategies as st

from maintenance.spares.successors import makes_a_ring, newer, newest, older

CHAIN = {1: 2, 2: 3, 9: 3}  # 1 became 2, 2 became 3, and so did 9


def test_the_newest_number_is_the_one_nothing_superseded():
    assert [newest(part, CHAIN) for part in (1, 2, 3, 9, 7)] == [3, 3, 3, 3, 7]
    assert list(newer(1, CHAIN)) == [2, 3]


def test_a_part_stands_for_every_one_before_it_the_nearest_first():
    assert older(3, CHAIN) == [2, 9, 1]
    assert older(2, CHAIN) == [1]
    assert older(1, CHAIN) == []


def test_a_part_may_not_come_to_supersede_itself():
    assert makes_a_ring(3, 1, CHAIN)
    assert makes_a_ring(4, 4, {})
    assert not makes_a_ring(3, 4, CHAIN)


PARTS = st.integers(1, 8)


@given(st.dictionaries(PARTS, st.one_of(st.none(), PARTS)), PARTS)
def test_whatever_is_written_down_rings_too_the_walk_ends_and_names_no_part_twice(by, part):
    later, before = list(newer(part, by)), older(part, by)
    assert len({part, *later}) == len(later) + 1
    assert len({part, *before}) == len(before) + 1
    assert all(part in newer(one, by) for one in before)


@given(st.dictionaries(PARTS, PARTS), PARTS, PARTS)
def test_a_word_that_makes_no_ring_makes_none(by, part, other):
    free = {}
    for one, following in [*by.items(), (part, other)]:
        if one not in free and not makes_a_ring(one, following, free):
            free[one] = following
    assert all(newest(one, free) not in free for one in free)
