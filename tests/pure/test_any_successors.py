"""Numbers superseded in any way, rings among them: both ways say the same, and both end."""

from hypothesis import given
from hypothesis import strategies as st

from maintenance.spares.successors import makes_a_ring, newer, newest, older

PART = st.integers(0, 8)
ANY = st.dictionaries(PART, PART | st.none(), max_size=9)


@st.composite
def grown(draw):
    """Superseded one after another, as the program lets it be: never so that a ring would close."""
    by = {}
    for part, following in draw(st.lists(st.tuples(PART, PART), max_size=12)):
        if part not in by and not makes_a_ring(part, following, by):
            by[part] = following
    return by


@given(ANY, PART)
def test_they_end_whatever_is_said_and_name_no_part_twice(by, part):
    for found in (list(newer(part, by)), older(part, by)):
        assert len(set(found)) == len(found) <= 9
        assert part not in found


@given(ANY)
def test_what_is_newer_than_one_has_it_among_its_older(by):
    parts = range(9)
    there = {(one, other) for one in parts for other in newer(one, by)}
    assert there == {(one, other) for other in parts for one in older(other, by)}


@given(grown())
def test_where_no_ring_was_let_in_the_newest_has_none_newer_and_all_before_agree(by):
    for part in range(9):
        last = newest(part, by)
        assert by.get(last) is None
        assert all(newest(one, by) == last for one in newer(part, by))
        assert part == last or part in older(last, by)


@given(grown(), PART, PART)
def test_a_ring_is_seen_before_it_closes(by, part, following):
    """Against walking: with the new number kept, it would be met again."""
    kept = by | {part: following}
    at, steps = kept[part], 0
    while at is not None and at != part and steps < 20:
        at, steps = kept.get(at), steps + 1
    assert makes_a_ring(part, following, by) == (at == part)
